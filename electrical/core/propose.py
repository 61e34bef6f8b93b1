"""Propose the cheapest cable and device for one circuit by which every rule holds."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace

from electrical.core.asked import broken_rules, given_up
from electrical.core.choices import CableChoice, DeviceChoice, Proposal
from electrical.core.conductors import area_mm2
from electrical.core.design import Circuit, CircuitRole, Design
from electrical.core.errors import BadInput
from electrical.core.facts import CircuitFacts, gather, with_choice
from electrical.core.findings import Finding, Severity
from electrical.core.ordering import depth_of_points, outwards, replaced
from electrical.core.parts import Protection
from electrical.core.rules.placement import feeds_back
from electrical.core.rules.protection import CONTINUOUS_SHARE

__all__ = [
    "CableChoice",
    "DeviceChoice",
    "Proposal",
    "device_at_place",
    "missing_for_proposal",
    "outwards",
    "propose_circuit",
    "propose_design",
    "propose_nearest",
    "replaced",
    "with_proposal",
    "worth_trying",
]

#: A feeder without a drop limit of its own gets this share of the critical limit [%].
FEEDER_DROP_PCT = 1.0
#: Constant power draws up to this much more where the drop is at its general limit.
DIVIDING_MARGIN = 1.1
SHARING_ROLES = frozenset({CircuitRole.FEEDER, CircuitRole.SOURCE})


def device_at_place(facts: CircuitFacts, device: Protection) -> Protection:
    """Return an offered device at the place of the present one.

    Parameters
    ----------
    facts : CircuitFacts
        The circuit with its present device, if any.
    device : Protection
        The offered device.

    Returns
    -------
    Protection
        The offered device, with zone and distance of the present one.
    """
    present = facts.circuit.protection
    if present is None:
        return device
    return replace(device, distance_m=present.distance_m, place=present.place)


def _tried(
    facts: CircuitFacts, cable: CableChoice, device: DeviceChoice | None, *, at_end: bool
) -> CircuitFacts:
    protection = device_at_place(facts, device.protection) if device else None
    end = device.protection if device and at_end else facts.circuit.protection_at_end
    return with_choice(facts, cable=cable.cable, protection=protection, at_end=end)


def _ordered_pairs(
    cables: Sequence[CableChoice],
    devices: Sequence[DeviceChoice | None],
    cost: Callable[[CableChoice, DeviceChoice | None], float],
) -> Iterator[tuple[CableChoice, DeviceChoice | None]]:
    pairs = [(cable, device) for cable in cables for device in devices]

    def dearness(pair: tuple[CableChoice, DeviceChoice | None]) -> tuple[float, float, float]:
        cable, device = pair
        rating_a = device.protection.rating_a if device else 0.0
        return cost(cable, device), area_mm2(cable.cable.size), rating_a

    yield from sorted(pairs, key=dearness)


def _is_fed_from_both_ends(facts: CircuitFacts) -> bool:
    return bool(feeds_back(facts)) and facts.circuit.role is not CircuitRole.STARTING


def _cost_of(
    length_m: float, *, at_end: bool
) -> Callable[[CableChoice, DeviceChoice | None], float]:
    """What a pair costs over a run, with as many devices as it needs."""

    def cost(cable: CableChoice, device: DeviceChoice | None) -> float:
        devices_cost = device.cost_of(2 if at_end else 1) if device else 0.0
        return cable.cost_per_m * length_m + devices_cost

    return cost


def propose_circuit(
    facts: CircuitFacts,
    *,
    cables: Sequence[CableChoice],
    devices: Sequence[DeviceChoice],
) -> Proposal:
    """Return the cheapest cable and device by which every rule of one circuit holds.

    Parameters
    ----------
    facts : CircuitFacts
        The circuit; its own cable and device, if any, are left out of account.
    cables : Sequence of CableChoice
        Cables on offer.
    devices : Sequence of DeviceChoice
        Protective devices on offer.

    Returns
    -------
    Proposal
        With what the next cheaper cable would break. Incomplete when data is
        missing or nothing on offer holds every rule; it then names which rule
        stands in the way with the thickest cable.

    Notes
    -----
    Exact for one circuit: pairs are tried in order of cost (ties: thinner first, then smaller)
    and the first that holds every rule is taken; where none does, the first of those
    that give up fewest of the rules that are only wished for. Upstream drop and
    neighbours stay.
    """
    circuit = facts.circuit
    missing = missing_for_proposal(facts)
    if missing or not cables:
        missing = missing or ("cable on offer",)
        return Proposal(circuit_id=circuit.id, cable=None, device=None, missing=missing)
    at_end = _is_fed_from_both_ends(facts)
    length_m = circuit.route.length_m if circuit.route else 0.0
    cost = _cost_of(length_m, at_end=at_end)
    fitting = [cable for cable in cables if not _cable_breaks(facts, cable)]
    options: list[DeviceChoice | None] = [*worth_trying(facts, devices)]
    if circuit.role is CircuitRole.STARTING or not options:
        options.append(None)
    pairs = _ordered_pairs(fitting, options, cost)
    best = _giving_up_least(facts, pairs, at_end=at_end)
    if best is None:
        return _nothing_fits(facts, cables, devices, at_end=at_end)
    cable, device = best
    each_kg = device.mass_kg if device else 0.0
    return Proposal(
        circuit_id=circuit.id,
        cable=cable,
        device=device,
        device_at_end=at_end and device is not None,
        cost=cost(cable, device),
        mass_kg=cable.mass_kg_per_m * length_m + each_kg * (2 if at_end else 1),
        decided_by=_next_cheaper_breaks(facts, cables, cable, device, at_end=at_end),
    )


def propose_nearest(
    facts: CircuitFacts,
    *,
    cables: Sequence[CableChoice],
    devices: Sequence[DeviceChoice],
) -> Proposal:
    """Return the cable and device that come nearest where nothing on offer holds every rule.

    Parameters
    ----------
    facts : CircuitFacts
        The circuit.
    cables : Sequence of CableChoice
        Cables on offer.
    devices : Sequence of DeviceChoice
        Protective devices on offer; without any the circuit gets none.

    Returns
    -------
    Proposal
        With the fewest stops, then the fewest attentions; of those the device that breaks
        most where none breaks enough, then the cheapest. Incomplete without a cable.
    """
    circuit = facts.circuit
    at_end = _is_fed_from_both_ends(facts)
    cost = _cost_of(circuit.route.length_m if circuit.route else 0.0, at_end=at_end)

    def badness(
        pair: tuple[CableChoice, DeviceChoice | None],
    ) -> tuple[int, int, float, float]:
        cable, device = pair
        broken = broken_rules(_tried(facts, cable, device, at_end=at_end))
        stops = sum(finding.severity is Severity.STOP for finding in broken)
        breaks_a = device.protection.breaking_capacity_a or 0.0 if device else 0.0
        is_weak = any(finding.rule_id == "breaking" for finding in broken)
        return stops, len(broken) - stops, -breaks_a if is_weak else 0.0, cost(cable, device)

    pairs = [(cable, device) for cable in cables for device in devices or (None,)]
    cable, device = min(pairs, key=badness, default=(None, None))
    return Proposal(
        circuit_id=circuit.id, cable=cable, device=device, device_at_end=at_end and bool(device)
    )


def _giving_up_least(
    facts: CircuitFacts,
    pairs: Iterable[tuple[CableChoice, DeviceChoice | None]],
    *,
    at_end: bool,
) -> tuple[CableChoice, DeviceChoice | None] | None:
    """The first pair that holds, of those that give up as little as can be."""
    best: tuple[CableChoice, DeviceChoice | None] | None = None
    least: int | None = None
    for cable, device in pairs:
        wishes = given_up(broken_rules(_tried(facts, cable, device, at_end=at_end)))
        if wishes is not None and (least is None or wishes < least):
            best, least = (cable, device), wishes
        if least == 0:
            break
    return best


def missing_for_proposal(facts: CircuitFacts) -> tuple[str, ...]:
    """Return the data without which nothing can be proposed, in words.

    Parameters
    ----------
    facts : CircuitFacts
        The circuit.

    Returns
    -------
    tuple of str
        Empty when enough is known.
    """
    missing = list(facts.unknown)
    if facts.circuit.route is None:
        missing.append("length of the run")
    if not facts.circuit.loads and facts.circuit.to_id is None:
        missing.append("device it feeds")
    return tuple(missing)


def _cable_breaks(facts: CircuitFacts, cable: CableChoice) -> bool:
    """Whether a cable breaks a rule whatever the device."""
    tried = with_choice(facts, cable=cable.cable, protection=None, at_end=None)
    if tried.ampacity is None:
        return True
    own = {"ampacity", "drop", "working-voltage", "least-size", "engine-insulation"}
    return any(finding.rule_id in own for finding in broken_rules(tried))


def worth_trying(facts: CircuitFacts, devices: Sequence[DeviceChoice]) -> tuple[DeviceChoice, ...]:
    """Return the devices that carry the load; smaller ones can never hold.

    Parameters
    ----------
    facts : CircuitFacts
        The circuit.
    devices : Sequence of DeviceChoice
        Devices on offer.

    Returns
    -------
    tuple of DeviceChoice
        In the order given.
    """
    least_a = max(facts.currents.design_a, facts.currents.continuous_a / CONTINUOUS_SHARE)
    return tuple(d for d in devices if d.protection.rating_a >= least_a)


def _next_cheaper_breaks(
    facts: CircuitFacts,
    cables: Sequence[CableChoice],
    chosen: CableChoice,
    device: DeviceChoice | None,
    *,
    at_end: bool,
) -> tuple[Finding, ...]:
    cheaper = [cable for cable in cables if cable.cost_per_m < chosen.cost_per_m]
    if not cheaper:
        return ()
    nearest = max(cheaper, key=lambda cable: cable.cost_per_m)
    return broken_rules(_tried(facts, nearest, device, at_end=at_end))


def _nothing_fits(
    facts: CircuitFacts,
    cables: Sequence[CableChoice],
    devices: Sequence[DeviceChoice],
    *,
    at_end: bool,
) -> Proposal:
    thickest = max(cables, key=lambda cable: area_mm2(cable.cable.size))
    worth = worth_trying(facts, devices)
    device = min(worth, key=lambda d: d.protection.rating_a, default=None)
    return Proposal(
        circuit_id=facts.circuit.id,
        cable=None,
        device=None,
        decided_by=broken_rules(_tried(facts, thickest, device, at_end=at_end)),
    )


def with_proposal(circuit: Circuit, proposal: Proposal) -> Circuit:
    """Return a circuit with a proposal carried out.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    proposal : Proposal
        For this circuit; an incomplete one changes nothing.

    Returns
    -------
    Circuit
        With the proposed cable and devices.

    Raises
    ------
    BadInput
        If the proposal is for another circuit.
    """
    if proposal.circuit_id != circuit.id:
        raise BadInput(f"The proposal is for circuit {proposal.circuit_id}, not {circuit.label}.")
    if proposal.cable is None:
        return circuit
    device = proposal.device.protection if proposal.device else None
    if device is not None and circuit.protection is not None:
        present = circuit.protection
        device = replace(device, distance_m=present.distance_m, place=present.place)
    return replace(
        circuit,
        cable=proposal.cable.cable,
        protection=device,
        protection_at_end=device if proposal.device_at_end else circuit.protection_at_end,
    )


def propose_design(
    design: Design,
    *,
    circuit_ids: Sequence[str],
    cables: Callable[[Circuit], Sequence[CableChoice]],
    devices: Callable[[Circuit], Sequence[DeviceChoice]],
) -> tuple[Design, tuple[Proposal, ...]]:
    """Propose cable and device for several circuits, feeders before what they feed.

    Parameters
    ----------
    design : Design
        The design.
    circuit_ids : Sequence of str
        Circuits to propose for; the others stay as they are.
    cables, devices : callable
        What is on offer for a circuit.

    Returns
    -------
    tuple of Design and tuple of Proposal
        The design with every complete proposal carried out, and the proposals.

    Notes
    -----
    One circuit at a time, from the sources outwards. Each feeder in series is held to
    1 % drop so that something is left for its branches (common practice, no source). The joint
    search in :mod:`electrical.core.search` does better and takes longer.
    """
    proposals: list[Proposal] = []
    limits = {circuit.id: circuit.drop_limit_pct for circuit in design.circuits}
    depth = depth_of_points(design)
    for circuit_id in outwards(design, circuit_ids):
        circuit = next(c for c in design.circuits if c.id == circuit_id)
        if circuit.role in SHARING_ROLES and circuit.drop_limit_pct is None:
            in_series = 1 + depth.get(circuit.from_id, 0)
            held = min(FEEDER_DROP_PCT * in_series, design.drop_limit_pct(circuit))
            design = replaced(design, replace(circuit, drop_limit_pct=held))
        facts, _voltages = gather(design)
        known = facts[circuit_id]
        if circuit_id in known.tree.dividing:
            known = _with_margin(known)
        proposal = propose_circuit(known, cables=cables(circuit), devices=devices(circuit))
        proposals.append(proposal)
        done = with_proposal(facts[circuit_id].circuit, proposal)
        design = replaced(design, replace(done, drop_limit_pct=limits[circuit_id]))
    return design, tuple(proposals)


def _with_margin(facts: CircuitFacts) -> CircuitFacts:
    """A lead in which current can divide, with what a fallen voltage may add to its current."""
    now = facts.currents
    more = now._replace(
        by_state_a={i: DIVIDING_MARGIN * amperes for i, amperes in now.by_state_a.items()},
        design_a=DIVIDING_MARGIN * now.design_a,
        continuous_a=DIVIDING_MARGIN * now.continuous_a,
    )
    return replace(facts, currents=more)
