"""Hours for circuits that no labour on the build sheet covers: standard times of the catalogue."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal

from catalogue.models import CircuitWork, LabourOperation
from catalogue.models.labour import Phase
from electrical.listing import CircuitRow
from fitout.jobs.models import Job
from fitout.workshop.task_facts import circuit_rows

ENDS = 4
"""Of one circuit: plus and minus, each at the board and at the device."""


class CircuitTimes:
    """Reads nothing until it is asked about a circuit."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self._times: Mapping[str, Decimal] | None = None
        self._rows: Mapping[int, CircuitRow] = {}

    def hours(self, circuit_ids: Iterable[int], phase: str) -> Decimal:
        """To run them at first fix, to connect them at second fix; 0 where nothing tells."""
        if self._times is None:
            self._times = LabourOperation.objects.circuit_times_h()
            self._rows = circuit_rows(self.job) if self._times else {}
        rows = [self._rows[pk] for pk in circuit_ids if pk in self._rows]
        return sum((self._of_circuit(row, phase, self._times) for row in rows), Decimal(0))

    @staticmethod
    def _of_circuit(row: CircuitRow, phase: str, times: Mapping[str, Decimal]) -> Decimal:
        if phase == Phase.FIRST_FIX:
            length_m = Decimal(str(row.length_m or 0))
            return times.get(CircuitWork.RUN, Decimal(0)) * length_m
        return times.get(CircuitWork.TERMINATE, Decimal(0)) * ENDS
