"""Raise a feeder's device where its branches' devices would not open before it.

A feeder is chosen for its load, so a board of few small circuits may get a device no larger
than theirs: a fault in one of them then takes all of them down.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from electrical.core.asked import broken_rules
from electrical.core.choices import CableChoice, DeviceChoice, Proposal
from electrical.core.conductors import area_mm2
from electrical.core.design import Circuit, Design
from electrical.core.facts import CircuitFacts, gather, with_choice
from electrical.core.ordering import replaced
from electrical.core.propose import with_proposal
from electrical.core.protection import selectivity
from electrical.core.rules.protection import upstream_of

#: Most a feeder may cost for it, in terms of what it costs without. Common practice, no source.
MOST_TIMES_THE_COST = 1.5
#: Choices put to the check of the whole vessel, for one feeder.
TRIED = 12
#: A feeder raised may want the one ahead of it raised.
PASSES = 2

Known = Mapping[str, CircuitFacts]
Offers = Callable[[str], tuple[Sequence[CableChoice], Sequence[DeviceChoice]]]
Pairs = frozenset[tuple[str, str]]


@dataclass(frozen=True)
class Standing:
    """What a design breaks, and its pairs of branch and feeder."""

    known: Known
    broken: Pairs
    """Circuit and rule."""
    not_selective: Pairs
    untold: Pairs
    """Without a curve or a fault current nobody can tell."""

    @classmethod
    def of(cls, design: Design) -> "Standing":
        known, _ = gather(design)
        return cls.of_known(known)

    @classmethod
    def of_known(cls, known: Known) -> "Standing":
        told = dict(_pairs(known))
        return cls(
            known=known,
            broken=frozenset((i, f.rule_id) for i, one in known.items() for f in broken_rules(one)),
            not_selective=frozenset(pair for pair, holds in told.items() if holds is False),
            untold=frozenset(pair for pair, holds in told.items() if holds is None),
        )

    def with_run(self, design: Design, run: Circuit) -> "Standing":
        """The same vessel with `run` changed: only another conductor changes what flows."""
        before = self.known[run.id]
        if run.cable != before.circuit.cable:
            return Standing.of(design)
        tree = replace(before.tree, design=design)
        known = {
            circuit_id: replace(facts, design=design, tree=tree)
            for circuit_id, facts in self.known.items()
        }
        known[run.id] = replace(known[run.id], circuit=run)
        return Standing.of_known(known)

    def is_better_than(self, other: "Standing") -> bool:
        return (
            self.broken <= other.broken
            and self.untold <= other.untold
            and len(self.not_selective) < len(other.not_selective)
        )

    def is_asked_of(self, feeder: str) -> bool:
        return any(ahead == feeder for _branch, ahead in self.not_selective)


def raise_feeders(
    design: Design, chosen: Mapping[str, Proposal], feeders: Sequence[str], offers: Offers
) -> dict[str, Proposal]:
    """New choices for those of `feeders` that get a larger device; `feeders` from the source.

    The smallest rating that leaves the fewest of its branches unselective, with the conductor
    there is or the next size, and nothing on the vessel broken that was not broken before.
    """
    raised: dict[str, Proposal] = {}
    standing = Standing.of(design)
    for _ in range(PASSES):
        before = standing
        for circuit_id in reversed(feeders):
            if not standing.is_asked_of(circuit_id):
                continue
            now = raised.get(circuit_id) or chosen[circuit_id]
            found = _raised(design, standing, now, offers(circuit_id))
            if found is not None:
                raised[circuit_id], design, standing = found
        if standing == before:
            break
    return raised


def _pairs(known: Known) -> Iterator[tuple[tuple[str, str], bool | None]]:
    """Branch and feeder, and whether they are selective; None where nobody can tell."""
    for circuit_id, facts in known.items():
        near = facts.circuit.protection
        if near is None:
            continue
        for feeder in upstream_of(facts):
            if feeder.protection is None:
                continue
            fault_a = facts.fault.at_start_a if facts.fault else None
            found = selectivity(near, feeder.protection, fault_a=fault_a) if fault_a else None
            yield (circuit_id, feeder.id), found.is_selective if found else None


def _raised(
    design: Design,
    standing: Standing,
    now: Proposal,
    offer: tuple[Sequence[CableChoice], Sequence[DeviceChoice]],
) -> tuple[Proposal, Design, Standing] | None:
    circuit = next(c for c in design.circuits if c.id == now.circuit_id)
    best: tuple[Proposal, Design, Standing] | None = None
    own = (one for one in _larger(circuit, now, *offer) if _holds_itself(standing, one))
    for larger in islice(own, TRIED):
        run = with_proposal(circuit, larger)
        trial = replaced(design, run)
        found = standing.with_run(trial, run)
        if found.is_better_than(best[2] if best else standing):
            best = larger, trial, found
            if not found.is_asked_of(circuit.id):
                break
    return best


def _holds_itself(standing: Standing, larger: Proposal) -> bool:
    """Whether it breaks nothing new in its own circuit, its neighbours left out of account."""
    facts = standing.known[larger.circuit_id]
    tried = with_proposal(facts.circuit, larger)
    if tried.cable is None:
        return False
    changed = with_choice(
        facts, cable=tried.cable, protection=tried.protection, at_end=tried.protection_at_end
    )
    return all((larger.circuit_id, f.rule_id) in standing.broken for f in broken_rules(changed))


def _larger(
    circuit: Circuit,
    now: Proposal,
    cables: Sequence[CableChoice],
    devices: Sequence[DeviceChoice],
) -> list[Proposal]:
    """Larger devices on the cable there is and on the next size, the smallest rating first."""
    if now.cable is None or now.device is None:
        return []
    rating_a, mm2 = now.device.protection.rating_a, area_mm2(now.cable.cable.size)
    thicker = [cable for cable in cables if area_mm2(cable.cable.size) > mm2]
    next_size = sorted(thicker, key=lambda cable: area_mm2(cable.cable.size))[:1]
    ends = 2 if now.device_at_end else 1
    length_m = circuit.route.length_m if circuit.route else 0.0

    def priced(cable: CableChoice, device: DeviceChoice) -> Proposal:
        return replace(
            now,
            cable=cable,
            device=device,
            cost=cable.cost_per_m * length_m + device.cost_of(ends),
            mass_kg=cable.mass_kg_per_m * length_m + device.mass_kg * ends,
            decided_by=now.decided_by if cable == now.cable else (),
        )

    found = [
        priced(cable, device)
        for cable in (now.cable, *next_size)
        for device in devices
        if device.protection.rating_a > rating_a
    ]
    most = now.cost * MOST_TIMES_THE_COST
    return sorted((larger for larger in found if larger.cost <= most), key=_order)


def _order(proposal: Proposal) -> tuple[float, float]:
    rating_a = proposal.device.protection.rating_a if proposal.device else 0.0
    return rating_a, proposal.cost
