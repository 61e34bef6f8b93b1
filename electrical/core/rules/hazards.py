"""Rules on petrol vapour."""

from collections.abc import Iterator

from electrical.core.design import CircuitRole
from electrical.core.facts import CircuitFacts
from electrical.core.findings import (
    Finding,
    Remedy,
    RemedyKind,
    Severity,
    Subject,
    SubjectKind,
)
from electrical.core.hazards import parts_in_petrol_vapour
from electrical.core.rules.registry import (
    CircuitRule,
    DesignFacts,
    DesignRule,
    circuit_rule,
    design_rule,
)
from electrical.core.sources import Source, SourceKind
from electrical.core.status import NO_SOURCE, Clause, SourceStatus

_IGNITION_US = Clause(source="33 CFR 183.410", clause="(a), (b)", status=SourceStatus.READ)
_IGNITION_ISO = Clause(source="ISO 8846", clause="ignition protection", status=SourceStatus.MEMORY)
_NEAR_FUEL = Clause(source="33 CFR 183.420", clause="(c), (d)", status=SourceStatus.READ)

_NEAR = (
    "where petrol vapour may gather: no tank, filter or fuel fitting directly above or below "
    "it, and metal fuel parts within 0.3 m above it shielded"
)
_AWAY = "away from where petrol vapour may gather"
_REMEDIES = (
    Remedy(kind=RemedyKind.PART, label="Use an ignition-protected part"),
    Remedy(kind=RemedyKind.MOVE, label="Move it out of the petrol space"),
)


@design_rule(
    id="ignition",
    title="Ignition protection in petrol spaces",
    iso=_IGNITION_ISO,
    us=_IGNITION_US,
)
def _ignition(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """Every part that could spark where petrol vapour may gather is ignition protected."""
    batteries = {b.id for b in facts.tree.batteries()}
    for part in parts_in_petrol_vapour(facts.design):
        if part.id in batteries:
            continue  # judged by "near-fuel"
        subject = Subject(kind=SubjectKind.PART, id=part.id, label=part.label)
        if part.ignition_protected is None:
            yield rule.cannot_tell(facts, subject, ("ignition-protection marking",))
            continue
        bad = not part.ignition_protected
        yield rule.about(
            facts,
            subject,
            Severity.STOP if bad else Severity.PASS,
            f"{part.label} in {part.place.label}, where petrol vapour may gather, is "
            f"{'not ' if bad else ''}ignition protected.",
            remedies=_REMEDIES if bad else (),
        )


@design_rule(id="near-fuel", title="Batteries away from petrol", iso=_NEAR_FUEL, us=_NEAR_FUEL)
def _near_fuel(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """A battery in a petrol space is kept clear of tanks, filters and fuel fittings."""
    for source in facts.design.sources:
        if source.kind is not SourceKind.BATTERY:
            continue
        if source.place is None:
            yield rule.cannot_tell(facts, _battery(source), ("place it stands in",))
            continue
        bad = source.place.petrol_vapour
        yield rule.about(
            facts,
            _battery(source),
            Severity.ATTENTION if bad else Severity.PASS,
            f"{source.label} is in {source.place.label}, {_NEAR if bad else _AWAY}.",
            remedies=(Remedy(kind=RemedyKind.MOVE, label="Move the battery"),) if bad else (),
        )


def _battery(source: Source) -> Subject:
    return Subject(kind=SubjectKind.SOURCE, id=source.id, label=source.label)


@circuit_rule(id="run-near-fuel", title="Runs through petrol spaces", iso=NO_SOURCE, us=NO_SOURCE)
def _run_near_fuel(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """A run through a petrol space is sheathed and protected before it gets there."""
    circuit = facts.circuit
    if circuit.route is None or circuit.cable is None or not circuit.route.in_petrol_vapour:
        return
    subject = facts.subject
    names = ", ".join(dict.fromkeys(p.label for p in circuit.route.places if p.petrol_vapour))
    lacks = []
    if not circuit.cable.sheathed:
        lacks.append("a sheath")
    if circuit.protection is None and circuit.role is not CircuitRole.STARTING:
        lacks.append("a device at its start")
    verdict = f"and lacks {' and '.join(lacks)}" if lacks else "sheathed and protected"
    yield rule.about(
        facts,
        subject,
        Severity.ATTENTION if lacks else Severity.PASS,
        f"{subject.label} passes {names}, where petrol vapour may gather, {verdict}.",
    )


RULES = (_ignition, _near_fuel)
CIRCUIT_RULES = (_run_near_fuel,)
