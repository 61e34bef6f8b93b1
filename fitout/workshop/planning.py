"""A plan: who does what when. Forward, task by task, each as soon as it can be done.

A task starts when the tasks before it are done, its parts are due, and a person with the
skill has hours free. Of the skilled, whoever finishes first takes it. Tasks that a person
assigned or that have begun keep their technician; work on other jobs keeps its days.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal

from django.db import transaction

from fitout.jobs.models import Job
from fitout.kit.audit import tracked
from fitout.kit.models import User, Workshop
from fitout.workshop.calendar import next_working_day, working_days, working_days_between
from fitout.workshop.models import Skill, Task, TaskStatus

ZERO = Decimal(0)
HORIZON_DAYS = 3 * 365


@dataclass(frozen=True)
class Slot:
    start_on: date
    due_on: date


@dataclass
class Hands:
    """One person's working hours and what is taken of them, day by day."""

    user_id: int
    hours_per_day: Decimal
    country: str
    taken: dict[date, Decimal] = field(default_factory=lambda: defaultdict(lambda: ZERO))

    def slot(self, hours: Decimal, earliest: date) -> Slot | None:
        """The first days on which `hours` fit, without taking them; None beyond the horizon."""
        left, start, limit = hours, None, earliest + timedelta(days=HORIZON_DAYS)
        for day in working_days(earliest, self.country):
            if day > limit:
                return None
            free = self.hours_per_day - self.taken.get(day, ZERO)
            if free <= 0:
                continue
            start = start or day
            left -= free
            if left <= 0:
                return Slot(start, day)
        return None

    def take(self, hours: Decimal, slot: Slot) -> None:
        left = hours
        for day in working_days_between(slot.start_on, slot.due_on, self.country):
            used = min(left, max(ZERO, self.hours_per_day - self.taken.get(day, ZERO)))
            self.taken[day] += used
            left -= used


@dataclass(frozen=True)
class Planned:
    placed: int
    without_hands: tuple[Task, ...]
    ready_on: date | None


@transaction.atomic
def plan(job: Job, *, by: User, today: date, parts_due: Mapping[int, date]) -> Planned:
    """Give every open task a person and dates. `parts_due`: line id to the day its part is due."""
    tasks = list(job.tasks.open().prefetch_related("after", "lines").order_by("position"))
    hands = hands_of_workshop(except_job=job, today=today)
    able = _able_by_trade()
    ends: dict[int, date] = {}
    without: list[Task] = []
    label = f"Work of {job.code} planned"
    with tracked(actor=by, scope=job.scope, label=label, action="tasks.plan") as change:
        change.watch(*tasks)
        for task in in_order(tasks):
            earliest = _earliest(task, today, ends, parts_due)
            placed = _place(task, earliest, hands, able)
            if placed is None:
                without.append(task)
                continue
            ends[task.pk] = placed.due_on
            _keep(task, placed, by=by)
    return Planned(
        placed=len(ends), without_hands=tuple(without), ready_on=max(ends.values(), default=None)
    )


def in_order(tasks: Sequence[Task]) -> list[Task]:
    """Every task after those it waits for; a circle is cut at its first task."""
    known = {task.pk: task for task in tasks}
    done: dict[int, None] = {}
    found: list[Task] = []

    def visit(task: Task, above: frozenset[int]) -> None:
        if task.pk in done or task.pk in above:
            return
        for earlier in task.after.all():
            if earlier.pk in known:
                visit(known[earlier.pk], above | {task.pk})
        done[task.pk] = None
        found.append(task)

    for task in tasks:
        visit(task, frozenset())
    return found


def hands_of_workshop(*, except_job: Job | None, today: date) -> dict[int, Hands]:
    country = Workshop.current().country
    hands = {
        user.pk: Hands(user_id=user.pk, hours_per_day=user.hours_per_day, country=country)
        for user in User.objects.technicians()
    }
    others = Task.objects.open().filter(
        assigned_to__in=hands, start_on__isnull=False, due_on__gte=today
    )
    if except_job is not None:
        others = others.exclude(job=except_job)
    for task in others:
        spread(task, hands[task.assigned_to_id or 0], today)
    return hands


def spread(task: Task, hands: Hands, today: date) -> None:
    """Lay a task's hours evenly over its days that are left."""
    if task.start_on is None or task.due_on is None:
        return
    days = working_days_between(max(task.start_on, today), task.due_on, hands.country)
    for day in days:
        hands.taken[day] += task.planned_h / len(days)


def _able_by_trade() -> dict[int, list[int]]:
    able: defaultdict[int, list[int]] = defaultdict(list)
    skills = Skill.objects.filter(user__in=User.objects.technicians())
    for user_id, trade_id in skills.order_by("user_id").values_list("user_id", "trade_id"):
        able[trade_id].append(user_id)
    return able


def _earliest(
    task: Task, today: date, ends: Mapping[int, date], parts_due: Mapping[int, date]
) -> date:
    waits = [today]
    waits += [
        ends[earlier.pk] + timedelta(days=1) for earlier in task.after.all() if earlier.pk in ends
    ]
    waits += [parts_due[line.pk] for line in task.lines.all() if line.pk in parts_due]
    return max(waits)


def _place(
    task: Task, earliest: date, hands: Mapping[int, Hands], able: Mapping[int, list[int]]
) -> Slot | None:
    if task.subcontractor_id is not None:
        start = task.start_on or next_working_day(earliest)
        return Slot(start, max(start, task.due_on or start))
    candidates = _candidates(task, hands, able)
    slots = [
        (slot.due_on, place, slot, who)
        for place, who in enumerate(candidates)
        if (slot := who.slot(task.planned_h, earliest)) is not None
    ]
    if not slots:
        return None
    _, _, slot, who = min(slots, key=lambda item: item[:2])
    who.take(task.planned_h, slot)
    task.assigned_to_id = who.user_id
    return slot


def _candidates(
    task: Task, hands: Mapping[int, Hands], able: Mapping[int, list[int]]
) -> list[Hands]:
    if task.assigned_to_id is not None:
        return [hands[task.assigned_to_id]] if task.assigned_to_id in hands else []
    return [hands[pk] for pk in able.get(task.trade_id or 0, ()) if pk in hands]


def _keep(task: Task, slot: Slot, *, by: User) -> None:
    if task.status == TaskStatus.STARTED and task.start_on is not None:
        slot = Slot(task.start_on, max(slot.due_on, task.start_on))
    stored = (task.start_on, task.due_on)
    task.start_on, task.due_on = slot.start_on, slot.due_on
    if stored != (slot.start_on, slot.due_on) or task.assigned_to_id is not None:
        task.save_if_version(task.version, by=by)


@dataclass(frozen=True)
class WeekLoad:
    """Hours promised in a week against the hours the workshop has."""

    monday: date
    promised_h: Decimal
    hands_h: Decimal

    @property
    def is_over(self) -> bool:
        return self.promised_h > self.hands_h


def week_loads(people: Sequence[User], monday: date, weeks: int) -> list[WeekLoad]:
    """Weeks from `monday` on: the hours of all open tasks laid over their days."""
    country = Workshop.current().country
    promised: defaultdict[date, Decimal] = defaultdict(lambda: ZERO)
    for task in Task.objects.open().filter(assigned_to__isnull=False, due_on__gte=monday):
        if task.start_on is None or task.due_on is None:
            continue
        days = working_days_between(task.start_on, task.due_on, country)
        for day in days:
            promised[day - timedelta(days=day.weekday())] += task.planned_h / len(days)
    per_day = sum((user.hours_per_day for user in people), ZERO)
    loads = []
    for week in range(weeks):
        start = monday + timedelta(weeks=week)
        days = working_days_between(start, start + timedelta(days=6), country)
        loads.append(
            WeekLoad(monday=start, promised_h=promised[start], hands_h=per_day * len(days))
        )
    return loads
