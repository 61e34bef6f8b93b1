"""What a technician must know of a task: parts to pick, circuits to make. No money in it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from catalogue.models import Part
from electrical.check import unchecked
from electrical.facts import load_facts
from electrical.listing import CircuitRow, Listing
from fitout.jobs.models import Job
from fitout.jobs.sheet import SheetLine, sheet_lines
from fitout.purchasing.followup import Progress, progress_by_part
from fitout.purchasing.needs import is_bought
from fitout.workshop.models import MadeCircuit, Task

ZERO = Decimal(0)
NOTHING = Progress()


@dataclass(frozen=True, kw_only=True)
class Pick:
    """A part to take to the vessel. `here` is what waits in the workshop for the job."""

    part: Part
    quantity: Decimal
    progress: Progress

    @property
    def here(self) -> Decimal:
        return self.progress.to_pick

    @property
    def is_picked(self) -> bool:
        return self.progress.picked >= self.quantity

    @property
    def can_pick(self) -> Decimal:
        return min(self.quantity, self.here)

    def is_late(self, today: date) -> bool:
        return self.progress.is_late(today)


@dataclass(frozen=True, kw_only=True)
class WireUp:
    """A circuit to make in a task, and whether it is made."""

    row: CircuitRow
    is_made: bool


@dataclass(frozen=True, kw_only=True)
class TaskFacts:
    task: Task
    picks: tuple[Pick, ...]
    circuits: tuple[WireUp, ...]

    @property
    def picked_count(self) -> int:
        return sum(pick.is_picked for pick in self.picks)

    @property
    def made_count(self) -> int:
        return sum(circuit.is_made for circuit in self.circuits)

    @property
    def unticked(self) -> int:
        return len(self.picks) + len(self.circuits) - self.picked_count - self.made_count


def facts_of_tasks(job: Job, tasks: Sequence[Task]) -> list[TaskFacts]:
    """Facts of several tasks of one job in a constant number of queries.

    `tasks` come with `lines` and `circuits` prefetched.
    """
    lines = {line.id: line for line in sheet_lines(job)}
    progress = progress_by_part(job)
    parts = Part.objects.in_bulk({line.part_id for line in lines.values() if line.part_id})
    rows = circuit_rows(job) if any(task.circuits.all() for task in tasks) else {}
    made = set(MadeCircuit.objects.filter(task__in=tasks).values_list("task_id", "circuit_id"))
    return [
        TaskFacts(
            task=task,
            picks=tuple(_picks(_lines_of(task, lines), parts, progress)),
            circuits=tuple(
                WireUp(row=rows[circuit.pk], is_made=(task.pk, circuit.pk) in made)
                for circuit in sorted(task.circuits.all(), key=lambda circuit: circuit.number)
            ),
        )
        for task in tasks
    ]


def circuit_rows(job: Job) -> dict[int, CircuitRow]:
    """Rows as a technician needs them: nothing is checked for them, so they come at once."""
    listing = Listing(checked=unchecked(load_facts(job)), numbers={})
    return {row.circuit.pk: row for row in listing.rows}


def _lines_of(task: Task, lines: Mapping[int, SheetLine]) -> list[SheetLine]:
    return [lines[line.pk] for line in task.lines.all() if line.pk in lines]


def _picks(
    lines: Iterable[SheetLine], parts: Mapping[int, Part], progress: Mapping[int, Progress]
) -> Iterable[Pick]:
    needed: dict[int, Decimal] = {}
    for line in lines:
        if is_bought(line) and line.part_id is not None:
            needed[line.part_id] = needed.get(line.part_id, ZERO) + line.effective_quantity
    for part_id, quantity in needed.items():
        yield Pick(part=parts[part_id], quantity=quantity, progress=progress.get(part_id, NOTHING))
