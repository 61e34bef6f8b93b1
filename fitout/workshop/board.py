"""Page-shaped reads of tasks: by phase for the office, by day for a technician."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from catalogue.models.labour import Phase
from fitout.jobs.models import Job
from fitout.kit.models import User
from fitout.workshop.clock import booked_h
from fitout.workshop.models import OPEN_STATUSES, Task, TaskStatus
from fitout.workshop.planning import WeekLoad, week_loads

ZERO = Decimal(0)
WEEKS_SHOWN = 8


@dataclass(frozen=True, kw_only=True)
class TaskRow:
    task: Task
    booked_h: Decimal
    is_late: bool

    @property
    def is_over(self) -> bool:
        return self.booked_h > self.task.planned_h > 0


@dataclass(frozen=True, kw_only=True)
class PhaseGroup:
    name: str
    rows: tuple[TaskRow, ...]

    @property
    def planned_h(self) -> Decimal:
        return sum((row.task.planned_h for row in self.rows), ZERO)

    @property
    def booked_h(self) -> Decimal:
        return sum((row.booked_h for row in self.rows), ZERO)

    @property
    def is_waiting(self) -> bool:
        return any(row.task.status in OPEN_STATUSES for row in self.rows)


@dataclass(frozen=True, kw_only=True)
class TaskBoard:
    groups: tuple[PhaseGroup, ...]
    loads: tuple[WeekLoad, ...]
    count: int
    done: int
    unassigned: int

    @property
    def planned_h(self) -> Decimal:
        return sum((group.planned_h for group in self.groups), ZERO)

    @property
    def booked_h(self) -> Decimal:
        return sum((group.booked_h for group in self.groups), ZERO)


def task_board(job: Job, *, today: date) -> TaskBoard:
    tasks = list(
        job.tasks.standing()
        .select_related("zone", "trade", "assigned_to", "subcontractor")
        .prefetch_related("after", "circuits")
    )
    booked = booked_h(job)
    monday = today - timedelta(days=today.weekday())
    rows = [_row(task, booked.get(task.pk, ZERO), today) for task in tasks]
    groups = tuple(
        PhaseGroup(name=phase.label, rows=own)
        for phase in Phase
        if (own := tuple(row for row in rows if row.task.phase == phase))
    )
    return TaskBoard(
        groups=groups,
        loads=tuple(week_loads(User.objects.technicians(), monday, WEEKS_SHOWN)),
        count=len(tasks),
        done=sum(task.status == TaskStatus.DONE for task in tasks),
        unassigned=sum(
            task.assigned_to_id is None and task.subcontractor_id is None for task in tasks
        ),
    )


def _row(task: Task, booked: Decimal, today: date) -> TaskRow:
    return TaskRow(
        task=task,
        booked_h=booked,
        is_late=task.is_open and task.due_on is not None and task.due_on < today,
    )


@dataclass(frozen=True, kw_only=True)
class MyWork:
    today: tuple[Task, ...]
    next: tuple[Task, ...]
    later: tuple[Task, ...]
    done_today: tuple[Task, ...]


def work_of(user: User, *, today: date) -> MyWork:
    tasks = list(
        Task.objects.standing()
        .filter(assigned_to=user)
        .select_related("job__vessel", "zone", "trade")
        .order_by("start_on", "job__number", "position")
    )
    open_tasks = [task for task in tasks if task.is_open]
    now = [task for task in open_tasks if is_for_today(task, today)]
    later = [task for task in open_tasks if task not in now]
    soon = today + timedelta(days=7)
    return MyWork(
        today=tuple(now),
        next=tuple(task for task in later if task.start_on is not None and task.start_on <= soon),
        later=tuple(task for task in later if task.start_on is None or task.start_on > soon),
        done_today=tuple(
            task for task in tasks if task.status == TaskStatus.DONE and is_done_on(task, today)
        ),
    )


def is_for_today(task: Task, today: date) -> bool:
    return task.status == TaskStatus.STARTED or (
        task.start_on is not None and task.start_on <= today
    )


def is_done_on(task: Task, today: date) -> bool:
    return task.done_at is not None and task.done_at.date() == today


def place_in(tasks: Sequence[Task], task: Task) -> tuple[int, int]:
    """“Task 3 of 5”: where a task stands among those of the day."""
    keys = [item.pk for item in tasks]
    return (keys.index(task.pk) + 1, len(keys)) if task.pk in keys else (1, 1)
