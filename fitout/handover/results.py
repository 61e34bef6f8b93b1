"""Test results as the pack prints them: one row a circuit, one row a test elsewhere."""

from __future__ import annotations

from dataclasses import dataclass, field

from fitout.handover.models import Outcome, SheetKind, TestReading, TestSheet
from fitout.jobs.models import Job

RANK = (Outcome.FAIL, Outcome.OPEN, Outcome.PASS, Outcome.NOT_APPLICABLE)


@dataclass
class CircuitTests:
    """All readings of one circuit, by the name of the check."""

    label: str
    name: str
    by_check: dict[str, TestReading] = field(default_factory=dict)

    @property
    def outcome(self) -> str:
        """The worst of its readings: one that failed, else one not done."""
        found = {reading.outcome for reading in self.by_check.values()}
        return next(outcome for outcome in RANK if outcome in found)

    @property
    def remarks(self) -> list[str]:
        return [reading.remark for reading in self.by_check.values() if reading.remark]

    @property
    def testers(self) -> list[str]:
        names = (str(reading.tested_by) for reading in self.by_check.values() if reading.tested_by)
        return list(dict.fromkeys(names))


@dataclass(frozen=True)
class Results:
    circuits: tuple[CircuitTests, ...]
    sheets: tuple[TestSheet, ...]


def results_of(job: Job) -> Results:
    sheets = list(job.test_sheets.prefetch_related("readings__tested_by", "readings__circuit"))
    circuits: dict[int, CircuitTests] = {}
    for sheet in sheets:
        if sheet.kind == SheetKind.CIRCUITS:
            for reading in sheet.readings.all():
                _take(reading, circuits)
    others = tuple(sheet for sheet in sheets if sheet.kind != SheetKind.CIRCUITS)
    return Results(circuits=tuple(circuits.values()), sheets=others)


def _take(reading: TestReading, circuits: dict[int, CircuitTests]) -> None:
    circuit = reading.circuit
    if circuit is None:
        return
    row = circuits.setdefault(circuit.pk, CircuitTests(circuit.label, circuit.name))
    row.by_check[reading.check_name] = reading
