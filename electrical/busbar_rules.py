"""Rules about the ways of a busbar: each lead on its own, as far as there are enough."""

from collections.abc import Iterator

from catalogue.models import BusbarData, PartKind
from electrical.core.findings import (
    Finding,
    Remedy,
    RemedyKind,
    Severity,
    Subject,
    SubjectKind,
)
from electrical.core.status import Clause, SourceStatus
from electrical.facts import Facts, record_of
from electrical.models import Device

RULE_ID, TITLE = "busbar-ways", "A way of the busbar for each lead"
#: Terminals on one stud, one upon the other.
MOST_ON_A_STUD = 4
STUD_CLAUSE = Clause(
    source="ABYC E-11", clause="four terminals to a stud at most", status=SourceStatus.MEMORY
)


def busbar_ways(facts: Facts) -> Iterator[Finding]:
    for bar in facts.of_kind(PartKind.BUSBAR):
        record = record_of(bar)
        leads = leads_on(facts, bar)
        if isinstance(record, BusbarData) and leads:
            yield _judged(bar, leads, record.studs)


def leads_on(facts: Facts, bar: Device) -> int:
    """Terminals of the leads that start or end there, each conductor in parallel by itself."""
    circuits = (*facts.starting_at.get(bar.pk, ()), *facts.fed_by.get(bar.pk, ()))
    return sum(circuit.in_parallel for circuit in circuits)


def _judged(bar: Device, leads: int, ways: int) -> Finding:
    name = f"{bar.label} {bar.name}"
    severity, words = Severity.PASS, "each on its own"
    if leads > MOST_ON_A_STUD * ways:
        severity, words = Severity.STOP, f"more than {MOST_ON_A_STUD} on each"
    elif leads > ways:
        severity, words = Severity.ATTENTION, "so that some have to share one"
    return Finding(
        rule_id=RULE_ID,
        title=TITLE,
        severity=severity,
        subject=Subject(kind=SubjectKind.BOARD, id=str(bar.pk), label=bar.label),
        message=f"{name} has {ways} ways for {leads} leads, {words}.",
        clause=STUD_CLAUSE,
        value=float(leads),
        limit=float(ways),
        remedies=(Remedy(kind=RemedyKind.PART, label="Use a busbar with more ways"),)
        if severity is not Severity.PASS
        else (),
    )
