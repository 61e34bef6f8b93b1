"""Test results as the pack prints them: one row a circuit, one row a test elsewhere."""

from __future__ import annotations

from dataclasses import dataclass, field

from django.utils import timezone
from django.utils.formats import date_format

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

    @property
    def _readings(self) -> list[TestReading]:
        return [reading for row in self.circuits for reading in row.by_check.values()]

    @property
    def testers(self) -> list[str]:
        """Who tested the circuits."""
        return list(dict.fromkeys(name for row in self.circuits for name in row.testers))

    @property
    def tested_on(self) -> str:
        """The day the circuits were tested, or the first and the last."""
        moments = sorted(reading.tested_at for reading in self._readings if reading.tested_at)
        days = [date_format(timezone.localtime(moment), "j M Y") for moment in moments]
        return " to ".join(dict.fromkeys(days[:1] + days[-1:]))


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
