"""Booked time: one clock a person, started and stopped on a task; put right with a reason."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal

from django.db import transaction
from django.db.models import Sum

from fitout.jobs.models import Job
from fitout.kit.audit import record, tracked
from fitout.kit.models import User
from fitout.workshop.models import TASK_MOVES, BookedTime, Task, TaskStatus

LONGEST = timedelta(hours=16)


class CannotBook(Exception):
    """The reason, as a sentence."""


def open_run(user: User) -> BookedTime | None:
    runs = BookedTime.objects.filter(user=user, stopped_at=None)
    return runs.select_related("task__job").first()


@transaction.atomic
def start(task: Task, *, by: User, at: datetime) -> BookedTime:
    """Start the clock. A clock that runs on another task is stopped first."""
    task = Task.objects.select_for_update().get(pk=task.pk)
    running = open_run(by)
    if running is not None:
        if running.task_id == task.pk:
            return running
        stop(running.task, by=by, at=at)
    if task.status != TaskStatus.STARTED:
        if TaskStatus.STARTED not in TASK_MOVES[task.status]:
            raise CannotBook(f"“{task}” is {task.get_status_display().lower()}.")
        task.status, task.held_reason, task.done_at = TaskStatus.STARTED, "", None
        task.save_if_version(task.version, by=by)
    return BookedTime.objects.create(task=task, user=by, started_at=at)


@transaction.atomic
def stop(task: Task, *, by: User, at: datetime) -> BookedTime | None:
    """Stop the person's clock on the task; nothing happens when it does not run."""
    running = (
        BookedTime.objects.select_for_update().filter(task=task, user=by, stopped_at=None).first()
    )
    if running is None:
        return None
    running.stopped_at = max(at, running.started_at)
    running.save(update_fields=["stopped_at"])
    return running


@transaction.atomic
def put_right(
    run: BookedTime, *, started_at: datetime, stopped_at: datetime, reason: str, by: User
) -> None:
    """Correct a run; the trail keeps what it was and why."""
    if stopped_at <= started_at:
        raise CannotBook("Stopped: it must be after the start.")
    if stopped_at - started_at > LONGEST:
        raise CannotBook("Stopped: one run is at most 16 hours; book the rest as another.")
    label = f"Time of {run.user} on “{run.task}” put right: {reason}"
    scope = run.task.job.scope
    with tracked(actor=by, scope=scope, label=label, action="time.put_right") as change:
        change.watch(run)
        run.started_at, run.stopped_at = started_at, stopped_at
        run.note = reason[:200]
        run.save(update_fields=["started_at", "stopped_at", "note"])


def booked_h(job: Job) -> dict[int, Decimal]:
    """Hours booked by task; a running clock counts once it is stopped."""
    hours: dict[int, Decimal] = {}
    runs = BookedTime.objects.filter(task__job=job, stopped_at__isnull=False)
    for task_id, started_at, stopped_at in runs.values_list("task_id", "started_at", "stopped_at"):
        assert stopped_at is not None  # noqa: S101 - the filter asked for it
        worked = Decimal((stopped_at - started_at).total_seconds()) / 3600
        hours[task_id] = hours.get(task_id, Decimal(0)) + worked
    return hours


def booked_s(task: Task, *, at: datetime) -> int:
    """Seconds booked on a task by anyone, clocks that still run included."""
    runs = task.booked.values_list("started_at", "stopped_at")
    spans = [(stopped_at or at) - started_at for started_at, stopped_at in runs]
    return int(sum(spans, timedelta()).total_seconds())


def clock_text(seconds: int) -> str:
    """Hours and minutes, as the clock on the page counts on from."""
    minutes = seconds // 60
    return f"{minutes // 60}:{minutes % 60:02d}"


def planned_h(job: Job) -> Decimal:
    total = job.tasks.standing().aggregate(total=Sum("planned_h"))["total"]
    return total or Decimal(0)


@transaction.atomic
def finish(task: Task, *, by: User, at: datetime) -> Task:
    """Done: every clock on it stops."""
    task = Task.objects.select_for_update().get(pk=task.pk)
    if task.status == TaskStatus.DONE:
        return task
    if task.status == TaskStatus.TO_DO:
        task.status = TaskStatus.STARTED
    if TaskStatus.DONE not in TASK_MOVES[task.status]:
        raise CannotBook(
            f"“{task}” is {task.get_status_display().lower()}; start it before it can be done."
        )
    BookedTime.objects.filter(task=task, stopped_at=None).update(stopped_at=at)
    task.status, task.done_at = TaskStatus.DONE, at
    task.save_if_version(task.version, by=by)
    record(by, "done", task, scope=task.job.scope, label=f"“{task}” done")
    return task


@transaction.atomic
def hold(task: Task, *, reason: str, by: User, at: datetime) -> Task:
    task = Task.objects.select_for_update().get(pk=task.pk)
    if TaskStatus.HELD not in TASK_MOVES[task.status]:
        raise CannotBook(f"“{task}” is {task.get_status_display().lower()}.")
    BookedTime.objects.filter(task=task, stopped_at=None).update(stopped_at=at)
    task.status, task.held_reason = TaskStatus.HELD, reason
    task.save_if_version(task.version, by=by)
    record(by, "hold", task, scope=task.job.scope, label=f"“{task}” held up: {reason}")
    return task
