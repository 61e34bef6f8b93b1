"""What may be fitted in each circuit, before the rest of the net is known."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from electrical.core.asked import ASKED_RULES, broken_rules, given_up
from electrical.core.bundles import LoadedSegments
from electrical.core.choices import Weigh
from electrical.core.design import CircuitRole
from electrical.core.facts import CircuitFacts, alone_a, with_choice
from electrical.core.propose import (
    CableChoice,
    DeviceChoice,
    device_at_place,
    worth_trying,
)
from electrical.core.rules.placement import feeds_back
from electrical.core.runs import hot_resistance

#: Rules that depend on what lies ahead of a run.
DROP_RULES = frozenset({"drop", "working-voltage"})
FAULT_RULES = frozenset({"breaking", "withstand", "clears"})
OWN_RULES = ASKED_RULES - DROP_RULES - FAULT_RULES


@dataclass(frozen=True, kw_only=True)
class Option:
    """One cable with the devices that may go with it in one circuit.

    Parameters
    ----------
    cable : CableChoice or None
        None for a circuit that stays as it is.
    devices : tuple of DeviceChoice or None
        Cheapest first, at one price the smaller; one None for a run without a device of its own.
    given_up : tuple of int
        What each of them gives up of the run's own rules that are only wished for.
    cable_cost : float
        Of the whole run [currency].
    cable_mass_kg : float
        Of the whole run [kg].
    devices_needed : int
        How many of the device: two where both ends need one.
    loop_r_ohm : Mapping[str, float]
        Least hot loop resistance by operating state [Ω].
    facts : CircuitFacts
        The run with this cable.
    """

    cable: CableChoice | None
    devices: tuple[DeviceChoice | None, ...]
    given_up: tuple[int, ...]
    cable_cost: float
    cable_mass_kg: float
    devices_needed: int
    loop_r_ohm: Mapping[str, float]
    facts: CircuitFacts


def options_for(
    facts: CircuitFacts,
    *,
    cables: Sequence[CableChoice],
    devices: Sequence[DeviceChoice],
    weigh: Weigh,
) -> tuple[Option, ...]:
    """Return the cables that hold every rule of the run itself, cheapest first.

    Parameters
    ----------
    facts : CircuitFacts
        The run; its neighbours are counted as they stand.
    cables, devices : Sequence
        What is on offer.
    weigh : callable
        Cost [currency] and mass [kg] to one figure.

    Returns
    -------
    tuple of Option
        Empty when nothing on offer holds them; rules that are only wished for may be
        given up.

    Notes
    -----
    Cost of a run = cost per metre · length.
    """
    circuit = facts.circuit
    length_m = circuit.route.length_m if circuit.route else 0.0
    needed = 2 if feeds_back(facts) and circuit.role is not CircuitRole.STARTING else 1
    carrying = worth_trying(facts, devices)
    cheapest_first = sorted(
        carrying, key=lambda d: (weigh(d.cost, d.mass_kg), d.protection.rating_a)
    )
    trials: list[DeviceChoice | None] = [*cheapest_first]
    if circuit.role is CircuitRole.STARTING or not trials:
        trials.insert(0, None)
    found = []
    for cable in cables:
        tried = with_choice(facts, cable=cable.cable, protection=None, at_end=None)
        if tried.ampacity is None:
            continue
        fitting = _fitting_devices(tried, trials, both=needed == 2)
        if fitting:
            found.append(
                Option(
                    cable=cable,
                    devices=tuple(device for device, _wishes in fitting),
                    given_up=tuple(wishes for _device, wishes in fitting),
                    cable_cost=cable.cost_per_m * length_m,
                    cable_mass_kg=cable.mass_kg_per_m * length_m,
                    devices_needed=needed,
                    loop_r_ohm=loop_resistances(tried),
                    facts=tried,
                )
            )
    return tuple(sorted(found, key=lambda o: weigh(o.cable_cost, o.cable_mass_kg)))


def with_neighbours_loaded(
    facts: Mapping[str, CircuitFacts], first_options: Mapping[str, Sequence[Option]]
) -> dict[str, CircuitFacts]:
    """Return facts with every neighbour counted as loaded that may be.

    Parameters
    ----------
    facts : Mapping[str, CircuitFacts]
        Facts by circuit.
    first_options : Mapping[str, Sequence of Option]
        Options of each circuit alone, without grouping.

    Returns
    -------
    dict
        The same facts; a run counts as loaded where it would be with the thinnest
        cable it may have, so that no choice made later can fill a cableway further.
    """
    alone_a = {i: known.alone_a for i, known in facts.items() if known.alone_a is not None}
    for circuit_id, some in first_options.items():
        alone_a[circuit_id] = min((o.facts.ampacity_a or 0.0 for o in some), default=0.0)
    current_a = {
        (circuit_id, state_id): amperes
        for circuit_id, known in facts.items()
        for state_id, amperes in known.currents.by_state_a.items()
    }
    design = next(iter(facts.values())).design
    segments = LoadedSegments(design=design, current_a=current_a, alone_a=alone_a)
    found = {}
    for circuit_id, known in facts.items():
        bundle = segments.fullest(known.circuit)
        around = known.around._replace(
            grouped_conductors=bundle.conductors, segment_id=bundle.segment_id
        )
        found[circuit_id] = replace(known, around=around)
    return found


def as_it_is(facts: CircuitFacts) -> Option:
    """Return the single option of a circuit that is not to be chosen.

    Parameters
    ----------
    facts : CircuitFacts
        The circuit.

    Returns
    -------
    Option
        Without cost; its own rules are not asked.
    """
    return Option(
        cable=None,
        devices=(None,),
        given_up=(0,),
        cable_cost=0.0,
        cable_mass_kg=0.0,
        devices_needed=0,
        loop_r_ohm=loop_resistances(facts),
        facts=facts,
    )


def loop_resistances(facts: CircuitFacts) -> dict[str, float]:
    """Return the least hot loop resistance of a run in each operating state.

    Parameters
    ----------
    facts : CircuitFacts
        The run with its cable.

    Returns
    -------
    dict
        By operating state [Ω], as warm as its own load makes it when no neighbour warms
        it too; 0 while the run is not laid out.
    """
    found = {}
    limit_a = alone_a(facts.design, facts.circuit) or 0.0
    for state_id, current_a in facts.currents.by_state_a.items():
        hot = hot_resistance(facts.design, facts.circuit, current_a, limit_a)
        found[state_id] = hot.loop_r_ohm if hot else 0.0
    return found


def _fitting_devices(
    tried: CircuitFacts, trials: Sequence[DeviceChoice | None], *, both: bool
) -> list[tuple[DeviceChoice | None, int]]:
    """Devices that hold, and what each gives up."""
    found = []
    for device in trials:
        wishes = given_up(broken_rules(with_device(tried, device, both=both), OWN_RULES))
        if wishes is not None:
            found.append((device, wishes))
    return found


def best_device(
    option: Option, faulted: CircuitFacts, asked: frozenset[str] = FAULT_RULES
) -> tuple[int, DeviceChoice | None, CircuitFacts] | None:
    """Return the cheapest device of those that give up as little as can be.

    Parameters
    ----------
    option : Option
        A cable with the devices that may go with it.
    faulted : CircuitFacts
        The run with this cable, its fault currents known.
    asked : frozenset of str
        Rules that hang on them.

    Returns
    -------
    tuple or None
        What it gives up, the device, and the facts with it; None when none holds.
    """
    best: tuple[int, DeviceChoice | None, CircuitFacts] | None = None
    for device, own in zip(option.devices, option.given_up, strict=True):
        if best is not None and own >= best[0]:
            continue
        tried = with_device(faulted, device, both=option.devices_needed == 2)
        wishes = given_up(broken_rules(tried, asked))
        if wishes is not None and (best is None or own + wishes < best[0]):
            best = own + wishes, device, tried
            if best[0] == 0:
                break
    return best


def with_device(facts: CircuitFacts, device: DeviceChoice | None, *, both: bool) -> CircuitFacts:
    """Return the facts of a run with another device, its cable unchanged.

    Parameters
    ----------
    facts : CircuitFacts
        The run.
    device : DeviceChoice or None
        Device at its start.
    both : bool
        The same device at its far end too.

    Returns
    -------
    CircuitFacts
        The facts.
    """
    protection = device_at_place(facts, device.protection) if device else None
    at_end = device.protection if device and both else facts.circuit.protection_at_end
    circuit = replace(facts.circuit, protection=protection, protection_at_end=at_end)
    return replace(facts, circuit=circuit)
