"""Choose cable and protection for the circuits of a job, from the batteries outwards."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from catalogue.models import Part
from electrical.adapters import design_of
from electrical.adapters.points import limits_itself
from electrical.adapters.routes import runs_of
from electrical.core.asked import broken_rules, given_up
from electrical.core.design import Circuit as CoreCircuit
from electrical.core.design import CircuitRole as CoreRole
from electrical.core.design import Design
from electrical.core.errors import CoreError
from electrical.core.facts import CircuitFacts, gather
from electrical.core.parts import DeviceType
from electrical.core.propose import (
    CableChoice,
    DeviceChoice,
    Proposal,
    propose_circuit,
    propose_nearest,
    with_proposal,
)
from electrical.facts import Facts, record_of
from electrical.models import Circuit, CircuitRole
from electrical.wiring.offer import Offer
from electrical.wiring.on_hand import on_hand
from electrical.wiring.selective import raise_feeders
from fitout.kit.audit import Change
from fitout.kit.models import User

#: Drop from the battery to the end of each lead in series [%], so that something is left for
#: the loads behind it. Common practice, no source.
SHARED_DROP_PCT = {CoreRole.SOURCE: 0.6, CoreRole.FEEDER: 1.7}
#: Where the thickest cable does not keep its share, it may take this much more of it.
STRETCHES = (1.0, 1.35, 2.0)
#: But never so much that nothing is left for the loads [%].
MOST_SHARED_PCT = 2.6
CONTINUOUS_SHARE = 0.8
#: A device is not chosen larger than this for its load: its cable would be all copper.
MOST_TIMES, MOST_ABOVE_A = 3.5, 30.0
#: How often every circuit is chosen: at first, nothing is known of what lies beyond it.
SWEEPS = 2
#: How often circuits are chosen again that another choice has upset.
PASSES_AGAIN = 2
#: Circuits that may go without a device of their own.
NEED_NONE = frozenset({CircuitRole.STARTING, CircuitRole.CHARGING})
#: Ratings tried above the smallest that carries the load; larger ones only need more copper.
RATINGS_TRIED = 6


def choose(facts: Facts, change: Change, by: User) -> tuple[int, tuple[str, ...]]:
    """Cheapest cable and protection that hold, for every circuit not set by hand.

    Answers how many circuits changed, and the labels of those for which nothing in the
    catalogue holds every rule: they get what comes nearest, and findings say what is wrong.
    """
    chooser = Chooser(facts, Offer(facts))
    try:
        choices = chooser.choices()
    except CoreError:
        return 0, tuple(circuit.label for circuit in chooser.wanted)
    changed = sum(
        _store(facts.circuit_by_id[int(choice.circuit_id)], choice, chooser.offer, change, by)
        for choice in choices.values()
    )
    unsolved = [facts.circuit_by_id[pk].label for pk in sorted(chooser.unsolved)]
    return changed, tuple(unsolved)


@dataclass
class Chooser:
    facts: Facts
    offer: Offer
    keeps_together: bool = True
    """Leave alone what was chosen together and still holds."""

    def __post_init__(self) -> None:
        held = self._held_together() if self.keeps_together else frozenset()
        self.wanted = [
            circuit
            for circuit in self.facts.circuits
            if not (circuit.cable_set_by_hand and circuit.protection_set_by_hand)
            and circuit.pk not in held
        ]
        self.unsolved: set[int] = set()
        self.chosen: dict[str, Proposal] = {}
        self.on_hand = on_hand(self.facts)
        self.near_only = True

    def _held_together(self) -> frozenset[int]:
        together = {c.pk for c in self.facts.circuits if c.chosen_together}
        if not together:
            return frozenset()
        known, _ = gather(design_of(self.facts, runs_of(self.facts)))
        return frozenset(
            pk
            for pk in together
            if str(pk) in known and given_up(broken_rules(known[str(pk)])) is not None
        )

    def choices(self) -> dict[str, Proposal]:
        """With what stands on the sheet nearby; then others may have what nobody there took."""
        design = self._cleared(shared_out(design_of(self.facts, runs_of(self.facts))))
        design = self._settled(design, {str(circuit.pk) for circuit in self.wanted})
        self.near_only = False
        design = self._with_the_rest(design)
        self._raise_feeders(design)
        return self.chosen

    def _settled(self, design: Design, left: set[str]) -> Design:
        """One level after the other; again with all neighbours known; then what is upset."""
        for sweep in range(SWEEPS + PASSES_AGAIN):
            left = left if sweep < SWEEPS else set(self._upset(design))
            for level in levels(design) if left else ():
                design = self._choose_for(design, [i for i in level if i in left])
        return design

    def _with_the_rest(self, design: Design) -> Design:
        """Where a piece nobody nearby took upsets nothing and costs no more than what stands."""
        if not self.on_hand.for_any(self._taken()):
            return design
        known, _ = gather(design)
        upset = set(self._upset(design))
        for circuit_id in [i for level in levels(design) for i in level if i in self.chosen]:
            found = self._from_the_rest(known[circuit_id])
            if found is None:
                continue
            trial = _with_choices(design, {circuit_id: found})
            if upset.issuperset(self._upset(trial)):
                self.chosen[circuit_id], design = found, trial
                self.unsolved.discard(int(circuit_id))
        return design

    def _from_the_rest(self, known: CircuitFacts) -> Proposal | None:
        circuit = self.facts.circuit_by_id[int(known.circuit.id)]
        now = self.chosen[known.circuit.id]
        if circuit.protection_set_by_hand or _is_on_hand(now):
            return None
        rest = self.on_hand.for_any(self._taken())
        devices = [d for d in self._devices(known, circuit) if int(d.key) in rest]
        if not devices:
            return None
        found = propose_circuit(known, cables=self.offer.cables_for(circuit), devices=devices)
        if found.device is None or not found.is_complete:
            return None
        return found if circuit.pk in self.unsolved or found.cost <= now.cost else None

    def _raise_feeders(self, design: Design) -> None:
        free = {str(c.pk) for c in self.wanted if not c.protection_set_by_hand}
        solved = free - {str(pk) for pk in self.unsolved}
        feeders = [
            circuit_id
            for level in levels(design)
            for circuit_id in level
            if circuit_id in solved and circuit_id in self.chosen
        ]
        self.chosen |= raise_feeders(design, self.chosen, feeders, self._offers)

    def _offers(self, circuit_id: str) -> tuple[list[CableChoice], list[DeviceChoice]]:
        circuit = self.facts.circuit_by_id[int(circuit_id)]
        return self.offer.cables_for(circuit), self.offer.devices_for(circuit, self._left(circuit))

    def _cleared(self, design: Design) -> Design:
        """Start from what is set by hand alone, so that wiring up twice gives the same twice."""
        rows = {str(circuit.pk): circuit for circuit in self.wanted}
        return replace(
            design,
            circuits=tuple(
                _without_choice(circuit, rows[circuit.id]) if circuit.id in rows else circuit
                for circuit in design.circuits
            ),
        )

    def _upset(self, design: Design) -> list[str]:
        known, _ = gather(design)
        wanted = {str(circuit.pk) for circuit in self.wanted}
        return [
            circuit_id
            for circuit_id in self.chosen
            if circuit_id in wanted
            and int(circuit_id) not in self.unsolved
            and broken_rules(known[circuit_id])
        ]

    def _choose_for(self, design: Design, circuit_ids: Sequence[str]) -> Design:
        if not circuit_ids:
            return design
        known, _ = gather(design)
        for circuit_id in circuit_ids:
            self.chosen.pop(circuit_id, None)
        for circuit_id in circuit_ids:
            self.chosen[circuit_id] = self._choose_one(known[circuit_id])
        done = {circuit_id: self.chosen[circuit_id] for circuit_id in circuit_ids}
        return _with_choices(design, done)

    def _choose_one(self, known: CircuitFacts) -> Proposal:
        circuit = self.facts.circuit_by_id[int(known.circuit.id)]
        cables = self.offer.cables_for(circuit)
        devices = self._devices(known, circuit)
        needs_none = circuit.role in NEED_NONE and not devices
        stretched = [_stretched(known, factor) for factor in STRETCHES]
        for facts in stretched if devices or needs_none else ():
            found = propose_circuit(facts, cables=cables, devices=devices)
            if found.is_complete or found.missing:
                self._note(circuit.pk, is_solved=found.is_complete)
                return found
        self._note(circuit.pk, is_solved=False)
        return propose_nearest(stretched[-1], cables=cables, devices=devices)

    def _devices(self, known: CircuitFacts, circuit: Circuit) -> list[DeviceChoice]:
        """Within the makers' limits; else whatever the place takes; else the smallest there is."""
        left = self._left(circuit)
        within = _worth_trying(known, self.offer.devices_for(circuit, left))
        if within:
            return within
        taken = self.offer.devices_at(circuit, left)
        return _worth_trying(known, taken) or _carrying(known, taken)[:1]

    def _left(self, circuit: Circuit) -> Counter[int]:
        """Pieces by part that stand on the sheet for it."""
        others = ((pk, part_id) for pk, part_id in self._taken() if pk != circuit.pk)
        return self.on_hand.left_for(circuit.pk, others, near_only=self.near_only)

    def _taken(self) -> Iterator[tuple[int, int]]:
        """Devices that circuits keep, or were given just now."""
        free = {circuit.pk for circuit in self.wanted if not circuit.protection_set_by_hand}
        for circuit in self.facts.circuits:
            proposal = self.chosen.get(str(circuit.pk))
            if circuit.pk not in free:
                fitted = [circuit.protection_id, circuit.end_protection_id]
            elif proposal is None or proposal.device is None:
                fitted = []
            else:
                fitted = [int(proposal.device.key)] * (1 + proposal.device_at_end)
            yield from ((circuit.pk, part_id) for part_id in fitted if part_id is not None)

    def _note(self, circuit_id: int, *, is_solved: bool) -> None:
        if is_solved:
            self.unsolved.discard(circuit_id)
        else:
            self.unsolved.add(circuit_id)


def _stretched(known: CircuitFacts, factor: float) -> CircuitFacts:
    limit_pct = known.circuit.drop_limit_pct
    if known.circuit.role not in SHARED_DROP_PCT or limit_pct is None:
        return known
    stretched_pct = min(limit_pct * factor, max(limit_pct, MOST_SHARED_PCT))
    return replace(known, circuit=replace(known.circuit, drop_limit_pct=stretched_pct))


def _worth_trying(known: CircuitFacts, devices: Sequence[DeviceChoice]) -> list[DeviceChoice]:
    """The few smallest ratings of each kind that carry the load, the smallest first."""
    least_a = _least_a(known)
    most_a = max(least_a * MOST_TIMES, least_a + MOST_ABOVE_A)
    if known.circuit.role is CoreRole.CHARGING:
        most_a = float("inf")  # its device is against the battery, not for the charger
    seen: dict[DeviceType, int] = {}
    kept = []
    for device in _carrying(known, devices):
        if device.protection.rating_a > most_a:
            break
        kind = device.protection.device
        seen[kind] = seen.get(kind, 0) + 1
        if seen[kind] <= RATINGS_TRIED or device.on_hand:
            kept.append(device)
    return kept


def _carrying(known: CircuitFacts, devices: Sequence[DeviceChoice]) -> list[DeviceChoice]:
    least_a = _least_a(known)
    carrying = [d for d in devices if d.protection.rating_a >= least_a]
    return sorted(carrying, key=lambda d: (d.protection.rating_a, d.cost))


def _least_a(known: CircuitFacts) -> float:
    return max(known.currents.design_a, known.currents.continuous_a / CONTINUOUS_SHARE)


def _is_on_hand(proposal: Proposal) -> bool:
    return proposal.device is not None and proposal.device.on_hand > 0


def _with_choices(design: Design, done: Mapping[str, Proposal]) -> Design:
    circuits = tuple(
        with_proposal(circuit, done[circuit.id]) if circuit.id in done else circuit
        for circuit in design.circuits
    )
    return replace(design, circuits=circuits)


def _without_choice(core: CoreCircuit, circuit: Circuit) -> CoreCircuit:
    return replace(
        core,
        cable=core.cable if circuit.cable_set_by_hand else None,
        protection=core.protection if circuit.protection_set_by_hand else None,
        protection_at_end=core.protection_at_end if circuit.protection_set_by_hand else None,
    )


def shared_out(design: Design) -> Design:
    """Leads in series without a limit of their own get their share of the drop."""
    circuits = tuple(
        replace(circuit, drop_limit_pct=SHARED_DROP_PCT[circuit.role])
        if circuit.role in SHARED_DROP_PCT and circuit.drop_limit_pct is None
        else circuit
        for circuit in design.circuits
    )
    return replace(design, circuits=circuits)


def levels(design: Design) -> Iterator[list[str]]:
    """Circuits by how many leads stand between them and a source; leads of emergency switches
    last, when it is known what lies beside them."""
    reached = {source.id for source in design.sources}
    waiting = [circuit for circuit in design.circuits if circuit.role is not CoreRole.LINK]
    while waiting:
        level = [circuit for circuit in waiting if circuit.from_id in reached] or waiting
        yield [circuit.id for circuit in level if circuit.to_id is not None]
        yield [circuit.id for circuit in level if circuit.to_id is None]
        reached |= {circuit.to_id for circuit in level if circuit.to_id is not None}
        taken = {circuit.id for circuit in level}
        waiting = [circuit for circuit in waiting if circuit.id not in taken]
    yield [circuit.id for circuit in design.circuits if circuit.role is CoreRole.LINK]


def _store(circuit: Circuit, choice: Proposal, offer: Offer, change: Change, by: User) -> bool:
    before = (circuit.cable_id, circuit.protection_id, circuit.end_protection_id)
    change.watch(circuit)
    take(circuit, choice, offer)
    if before == (circuit.cable_id, circuit.protection_id, circuit.end_protection_id):
        return False
    circuit.chosen_together = False
    circuit.save_if_version(circuit.version, by=by)
    return True


def take(circuit: Circuit, choice: Proposal, offer: Offer) -> None:
    if choice.cable is None:
        return
    device: Part | None = offer.part_by_key.get(choice.device.key) if choice.device else None
    if not circuit.cable_set_by_hand:
        circuit.cable = offer.part_by_key.get(choice.cable.key, circuit.cable)
    if circuit.protection_set_by_hand:
        return
    # The lead of a source that limits itself is protected where the battery could feed it.
    origin = offer.facts.origin_of(circuit)
    needs_none = circuit.role == CircuitRole.CHARGING and limits_itself(record_of(origin))
    circuit.protection = None if needs_none and choice.device_at_end else device
    circuit.end_protection = device if choice.device_at_end else None
