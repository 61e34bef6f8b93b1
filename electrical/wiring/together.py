"""Cable and protection of all circuits chosen together, beside what stands and what wire up takes.

The search is the core's; here its answer is priced with the catalogue's parts and put to the
same check as everything else.
"""

from __future__ import annotations

import copy
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from functools import cached_property
from time import perf_counter
from typing import TYPE_CHECKING, Any

from catalogue.models import CableData, Part
from electrical.adapters import design_of
from electrical.adapters.routes import Run, runs_of
from electrical.check import Checked, check_facts
from electrical.core.choices import CableChoice, DeviceChoice, Proposal
from electrical.core.design import Design
from electrical.core.errors import CoreError
from electrical.core.facts import CircuitFacts, gather
from electrical.core.findings import Finding, Severity
from electrical.core.propose import worth_trying
from electrical.facts import Facts
from electrical.models import Circuit
from electrical.wiring.choosing import Chooser, levels, take
from electrical.wiring.offer import Offer
from electrical.wiring.selective import raise_feeders
from electrical.worked_out import CannotWorkOut

if TYPE_CHECKING:
    from electrical.core.found import Found

#: Sentences told of what decided a circuit; the first say enough.
TOLD = 2
BY_HAND = "chosen by hand"
LEFT_OUT = "not joined to a source yet"
CENT = 0.005
JUDGED = frozenset({Severity.STOP, Severity.ATTENTION})


@dataclass(frozen=True)
class Fit:
    """What is fitted in one circuit, and what it costs where that is known."""

    cable_id: int | None
    protection_id: int | None
    end_protection_id: int | None
    cost: float | None
    mass_kg: float

    @property
    def parts(self) -> tuple[int | None, ...]:
        return self.cable_id, self.protection_id, self.end_protection_id


@dataclass(frozen=True)
class Reason:
    """One rule that decided, or that cannot be met."""

    title: str
    message: str
    source: str
    remedies: tuple[str, ...] = ()


@dataclass(frozen=True)
class Row:
    circuit_id: int
    version: int
    now: Fit
    one: Fit
    together: Fit
    kept: str
    decided: tuple[Reason, ...]
    unmet: tuple[Reason, ...]
    missing: tuple[str, ...]


@dataclass(frozen=True)
class Column:
    """One whole way of fitting out: what it costs and what the check says of it."""

    cost: float | None
    mass_kg: float
    stops: int
    attentions: int
    cannot_tells: int


@dataclass(frozen=True)
class Together:
    columns: dict[str, Column]
    rows: tuple[Row, ...]
    added: tuple[str, ...]
    """Stops and attentions that using it would bring, as sentences."""
    cleared: tuple[str, ...]
    """And those it would do away with."""
    is_proven: bool
    why_not_proven: str
    raised: tuple[str, ...]
    """Labels of feeders with a larger device than the search chose, that those behind open first."""
    cheaper_by: float | None
    """The most a cheaper choice that is not ruled out could save; None where nobody knows."""
    took_s: float

    def stored(self) -> dict[str, Any]:
        """As JSON holds it."""
        return asdict(self)


def choose_together(facts: Facts) -> Together:
    """What is chosen by hand stays; `CannotWorkOut` when there is nothing to choose."""
    begin = perf_counter()
    work = _Work(facts)
    if not work.free:
        raise CannotWorkOut("Every circuit is chosen by hand, so there is nothing to choose.")
    try:
        rows = work.rows()
    except CoreError as error:
        raise CannotWorkOut(str(error)) from error
    checked = {name: work.checked(circuits) for name, circuits in work.fitted.items()}
    return Together(
        columns={name: work.column(name, checked[name]) for name in checked},
        rows=rows,
        added=_only_in(checked["together"], checked["now"]),
        cleared=_only_in(checked["now"], checked["together"]),
        is_proven=work.found.is_exact,
        why_not_proven=work.found.why_not_exact,
        raised=tuple(circuit.label for circuit in work.raised),
        cheaper_by=work.cheaper_by,
        took_s=round(perf_counter() - begin, 2),
    )


class _Work:
    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self.runs: Mapping[int, Run] = runs_of(facts)
        self.offer = Offer(facts)
        self.chooser = Chooser(facts, self.offer, keeps_together=False)
        self.kept = {c.pk: BY_HAND for c in facts.circuits if is_by_hand(c)}
        drawn = {circuit.id for circuit in self.design.circuits}
        self.kept |= {
            c.pk: LEFT_OUT
            for c in facts.circuits
            if str(c.pk) not in drawn and c.pk not in self.kept
        }
        self.free = [c for c in facts.circuits if c.pk not in self.kept]
        self.raised: list[Circuit] = []

    @cached_property
    def design(self) -> Design:
        return design_of(self.facts, self.runs)

    @cached_property
    def asked(self) -> dict[str, Any]:
        """What the core is asked: for which circuits, of what is on offer."""
        known, _ = gather(self.design)
        cables = {str(c.pk): self.offer.cables_for(c) for c in self.free}
        devices = {str(c.pk): self._devices(known[str(c.pk)], c) for c in self.free}
        return {
            "circuit_ids": list(cables),
            "cables": lambda circuit: cables.get(circuit.id, ()),
            "devices": lambda circuit: devices.get(circuit.id, ()),
        }

    def _devices(self, known: CircuitFacts, circuit: Circuit) -> Sequence[DeviceChoice]:
        """Within the makers' limits; else whatever the place takes."""
        within = worth_trying(known, self.offer.devices_for(circuit))
        carrying = within or worth_trying(known, self.offer.devices_at(circuit))
        return carrying if known.currents.start_a is not None else undominated(carrying)

    @cached_property
    def found(self) -> Found:
        from electrical.core.search import search_design

        return search_design(self.design, **self.asked)

    @cached_property
    def fitted(self) -> dict[str, dict[int, Circuit]]:
        """Circuits as they stand, as wire up would have them, and as the search would."""
        one = self._with(self.chooser.choices().values())
        together = self._raised(self._with(self.found.proposals))
        return {"now": dict(self.facts.circuit_by_id), "one": one, "together": together}

    def _raised(self, circuits: dict[int, Circuit]) -> dict[int, Circuit]:
        """Feeders with a larger device where those behind it would not open before it."""
        chosen = {p.circuit_id: p for p in self.found.proposals if p.is_complete}
        design = self._design(circuits)
        feeders = [i for level in levels(design) for i in level if i in chosen]
        raised = raise_feeders(design, chosen, feeders, self._offers)
        self.raised = [circuits[int(i)] for i in feeders if i in raised]
        return self._with(raised.values(), circuits)

    def _offers(self, circuit_id: str) -> tuple[Sequence[CableChoice], Sequence[DeviceChoice]]:
        circuit = self.facts.circuit_by_id[int(circuit_id)]
        return self.offer.cables_for(circuit), self.offer.devices_for(circuit)

    def _design(self, circuits: Mapping[int, Circuit]) -> Design:
        return design_of(replace(self.facts, circuits=tuple(circuits.values())), self.runs)

    def _with(
        self, proposals: Iterable[Proposal], circuits: Mapping[int, Circuit] | None = None
    ) -> dict[int, Circuit]:
        """Copies of the circuits with the proposals carried out; the stored rows stay."""
        circuits = dict(circuits or self.facts.circuit_by_id)
        free = {circuit.pk for circuit in self.free}
        for proposal in proposals:
            pk = int(proposal.circuit_id)
            if pk in free and proposal.is_complete:
                circuits[pk] = copy.copy(circuits[pk])
                take(circuits[pk], proposal, self.offer)
        return circuits

    @property
    def cheaper_by(self) -> float | None:
        found = self.found
        return None if found.is_exact or found.least_cost is None else found.cost - found.least_cost

    def column(self, name: str, checked: Checked) -> Column:
        fits = [self._fit(circuit) for circuit in self.fitted[name].values()]
        costs = [fit.cost for fit in fits if fit.cost is not None]
        return Column(
            cost=sum(costs) if len(costs) == len(fits) else None,
            mass_kg=sum(fit.mass_kg for fit in fits),
            stops=checked.count(Severity.STOP),
            attentions=checked.count(Severity.ATTENTION),
            cannot_tells=checked.count(Severity.CANNOT_TELL),
        )

    def checked(self, circuits: Mapping[int, Circuit]) -> Checked:
        return check_facts(replace(self.facts, circuits=tuple(circuits.values())))

    def rows(self) -> tuple[Row, ...]:
        proposals = {int(p.circuit_id): p for p in self.found.proposals}
        unmet = {pk for pk, proposal in proposals.items() if not proposal.is_complete}
        return tuple(self._row(c, proposals.get(c.pk), unmet) for c in self.facts.circuits)

    def _row(self, circuit: Circuit, proposal: Proposal | None, unmet: set[int]) -> Row:
        own = [f for f in (proposal.decided_by if proposal else ()) if _is_about(f, circuit, unmet)]
        reasons = tuple(_reason(finding) for finding in own)
        is_met = circuit.pk not in unmet
        return Row(
            circuit_id=circuit.pk,
            version=circuit.version,
            now=self._fit(circuit),
            one=self._fit(self.fitted["one"][circuit.pk]),
            together=self._fit(self.fitted["together"][circuit.pk]),
            kept=self.kept.get(circuit.pk, ""),
            decided=reasons[:TOLD] if is_met else (),
            unmet=() if is_met else reasons,
            missing=tuple(proposal.missing) if proposal else (),
        )

    def _fit(self, circuit: Circuit) -> Fit:
        length_m = self.runs[circuit.pk].length_m
        parts = [(circuit.protection, 1.0), (circuit.end_protection, 1.0)]
        if circuit.cable is not None:
            parts.append((circuit.cable, _lengths(circuit.cable) * (length_m or 0.0)))
        fitted = [(part, quantity) for part, quantity in parts if part is not None]
        costs = [self._cost(part) for part, _ in fitted]
        is_known = None not in costs and (circuit.cable is None or length_m is not None)
        pairs = zip(costs, fitted, strict=True)
        return Fit(
            cable_id=circuit.cable_id,
            protection_id=circuit.protection_id,
            end_protection_id=circuit.end_protection_id,
            cost=sum((cost or 0.0) * quantity for cost, (_, quantity) in pairs)
            if is_known
            else None,
            mass_kg=sum(float(part.mass_kg or 0) * quantity for part, quantity in fitted),
        )

    def _cost(self, part: Part) -> float | None:
        priced = self.offer.part_by_key.get(str(part.pk))
        cost = getattr(priced, "cost", None)
        return None if cost is None else float(cost)


def _only_in(one: Checked, other: Checked) -> tuple[str, ...]:
    """Stops and attentions of one check that the other has not, by rule and subject."""
    known = {(f.rule_id, f.subject.id) for f in other.findings if f.severity in JUDGED}
    return tuple(
        f"{finding.title}: {finding.message}"
        for finding in one.findings
        if finding.severity in JUDGED and (finding.rule_id, finding.subject.id) not in known
    )


def undominated(devices: Sequence[DeviceChoice]) -> list[DeviceChoice]:
    """Without those that a device of the same kind beats in everything.

    Of devices that carry the load the smaller protects the conductor better and opens sooner;
    only a motor's start can ask for the larger one.
    """
    kept: list[DeviceChoice] = []
    for device in sorted(devices, key=lambda d: (d.protection.rating_a, d.cost)):
        if not any(_beats(other, device) for other in kept):
            kept.append(device)
    return kept


def _beats(one: DeviceChoice, other: DeviceChoice) -> bool:
    ours, theirs = one.protection, other.protection
    return (
        ours.device is theirs.device
        and ours.rating_a <= theirs.rating_a
        and one.cost <= other.cost
        and (ours.breaking_capacity_a or 0.0) >= (theirs.breaking_capacity_a or 0.0)
        and (ours.rated_v or 0.0) >= (theirs.rated_v or 0.0)
        and bool(ours.ignition_protected) >= bool(theirs.ignition_protected)
    )


def is_by_hand(circuit: Circuit) -> bool:
    return circuit.cable_set_by_hand or circuit.protection_set_by_hand


def _lengths(cable: Part) -> int:
    """Single cores are laid there and back; a two-core cable is both."""
    data = getattr(cable, "cabledata", None)
    return 1 if isinstance(data, CableData) and data.cores > 1 else 2


def _is_about(finding: Finding, circuit: Circuit, unmet: set[int]) -> bool:
    """What another circuit breaks whatever is chosen decided nothing here."""
    subject = finding.subject.id
    return subject == str(circuit.pk) or not (subject.isdecimal() and int(subject) in unmet)


def _reason(finding: Finding) -> Reason:
    return Reason(
        title=finding.title,
        message=finding.message,
        source=f"{finding.clause} ({finding.clause.status.value})",
        remedies=tuple(r.label[:1].lower() + r.label[1:] for r in finding.remedies),
    )
