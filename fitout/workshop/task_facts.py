"""What a technician must know of a task: parts to pick, circuits to make. No money in it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from itertools import chain

from django.db import transaction
from django.db.models import Sum

from catalogue.models import Part, PartKind
from catalogue.models.labour import Phase
from electrical.check import unchecked
from electrical.facts import Facts, load_facts
from electrical.listing import CircuitRow, Listing
from electrical.needs import CircuitNeed, needs_of
from fitout.jobs.models import Job
from fitout.jobs.sheet import SheetLine, sheet_lines
from fitout.kit.models import User
from fitout.purchasing.dealing import SHARED_KINDS, deal, is_bought
from fitout.purchasing.followup import Progress, progress_by_part
from fitout.purchasing.models import Movement, MovementKind
from fitout.purchasing.moving import move
from fitout.workshop.models import MadeCircuit, PickedForTask, Task

ZERO = Decimal(0)
NOTHING = Progress()
AT_FIRST_FIX = (PartKind.CABLE, PartKind.GENERAL)
"""Of what a circuit takes: cable and labels go in first, the rest when it is connected."""


@dataclass(frozen=True, kw_only=True)
class Pick:
    """A part to take to the vessel for one task, and how much of it was picked for the task.

    `here` is what waits in the workshop for the job.
    """

    part: Part
    quantity: Decimal
    picked: Decimal
    progress: Progress

    @property
    def here(self) -> Decimal:
        return self.progress.to_pick

    @property
    def is_picked(self) -> bool:
        return self.picked >= self.quantity

    @property
    def can_pick(self) -> Decimal:
        return min(max(ZERO, self.quantity - self.picked), self.here)

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
    lines = {line.id: line for line in sheet_lines(job) if is_bought(line)}
    parts = Part.objects.in_bulk({line.part_id for line in lines.values()})
    given = _Given.of(job, tasks, lines, parts)
    wanted = {task.pk: given.wanted(task) for task in tasks}
    parts |= Part.objects.in_bulk(
        {pk for amounts in wanted.values() for pk in amounts} - set(parts)
    )
    shelf = _Shelf.of(job)
    made = set(MadeCircuit.objects.filter(task__in=tasks).values_list("task_id", "circuit_id"))
    return [
        TaskFacts(
            task=task,
            picks=tuple(
                shelf.pick(task, parts[pk], quantity) for pk, quantity in wanted[task.pk].items()
            ),
            circuits=tuple(
                WireUp(row=given.rows[circuit.pk], is_made=(task.pk, circuit.pk) in made)
                for circuit in sorted(task.circuits.all(), key=lambda circuit: circuit.number)
            ),
        )
        for task in tasks
    ]


def pick_for(task: Task, part: Part, quantity: Decimal, *, by: User, at: datetime) -> None:
    """Take a part to the vessel for a task."""
    with transaction.atomic():
        movement = move(
            task.job, part, MovementKind.PICKED, quantity, by=by, at=at, note=str(task)[:200]
        )
        PickedForTask.objects.create(task=task, movement=movement)


def circuit_rows(job: Job) -> dict[int, CircuitRow]:
    return _rows(load_facts(job))


def _rows(facts: Facts) -> dict[int, CircuitRow]:
    """Rows as a technician needs them: nothing is checked for them, so they come at once."""
    listing = Listing(checked=unchecked(facts), numbers={})
    return {row.circuit.pk: row for row in listing.rows}


@dataclass(frozen=True)
class _Given:
    """What tasks are given: bought lines less what circuits take of them, and the circuits."""

    lines: Mapping[int, tuple[int, Decimal]]
    """Part and quantity by line."""

    rows: Mapping[int, CircuitRow]
    needs: Mapping[int, Sequence[CircuitNeed]]

    @classmethod
    def of(
        cls,
        job: Job,
        tasks: Sequence[Task],
        lines: Mapping[int, SheetLine],
        parts: Mapping[int, Part],
    ) -> _Given:
        shared = {pk for pk, part in parts.items() if part.kind in SHARED_KINDS}
        rows: Mapping[int, CircuitRow] = {}
        needs: defaultdict[int, list[CircuitNeed]] = defaultdict(list)
        given = {
            lines[row.pk].part_id for task in tasks for row in task.lines.all() if row.pk in lines
        }
        if shared & given or any(task.circuits.all() for task in tasks):
            facts = load_facts(job)
            rows = _rows(facts)
            for need in needs_of(facts):
                needs[need.circuit.pk].append(need)
        dealt = deal(lines.values(), chain.from_iterable(needs.values()))
        left = {pk: (lines[pk].part_id or 0, quantity) for pk, quantity in dealt.left.items()}
        return cls(lines=left, rows=rows, needs=needs)

    def wanted(self, task: Task) -> dict[int, Decimal]:
        """Quantity of each part the task takes: of its lines, then of its circuits."""
        amounts: defaultdict[int, Decimal] = defaultdict(Decimal)
        for line in task.lines.all():
            part_id, quantity = self.lines.get(line.pk, (0, ZERO))
            if quantity > 0:
                amounts[part_id] += quantity
        for circuit in task.circuits.all():
            for need in self.needs.get(circuit.pk, ()):
                if (need.part.kind in AT_FIRST_FIX) == (task.phase == Phase.FIRST_FIX):
                    amounts[need.part.pk] += need.quantity
        return amounts


@dataclass(frozen=True)
class _Shelf:
    """What is here for the job and what was picked for which task.

    What the office moved for no task in particular counts for every task that wants it.
    """

    progress: Mapping[int, Progress]
    for_task: Mapping[tuple[int, int], Decimal]
    for_tasks: Mapping[int, Decimal]

    @classmethod
    def of(cls, job: Job) -> _Shelf:
        standing = Movement.objects.standing().filter(job=job, picked_for_task__isnull=False)
        sums = standing.values_list("picked_for_task__task", "part").annotate(Sum("quantity"))
        for_task: dict[tuple[int, int], Decimal] = {}
        for_tasks: defaultdict[int, Decimal] = defaultdict(Decimal)
        for task_id, part_id, quantity in sums.order_by():
            for_task[task_id, part_id] = quantity
            for_tasks[part_id] += quantity
        return cls(progress=progress_by_part(job), for_task=for_task, for_tasks=for_tasks)

    def pick(self, task: Task, part: Part, quantity: Decimal) -> Pick:
        progress = self.progress.get(part.pk, NOTHING)
        loose = max(ZERO, progress.picked - self.for_tasks.get(part.pk, ZERO))
        picked = self.for_task.get((task.pk, part.pk), ZERO) + loose
        return Pick(part=part, quantity=quantity, picked=picked, progress=progress)
