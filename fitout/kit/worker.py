"""Background work that outlives its worker: lease, heartbeat, retry.

The library claims and runs tasks, but leaves those of a killed worker running for
ever. Here each task in hand carries a lease; a second thread pushes the lease on while
the task runs, and takes back the tasks of workers whose lease has lapsed. A task may
therefore run twice: every task must do no harm when it does.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from functools import partial
from typing import Any
from uuid import UUID

from django.core.exceptions import SuspiciousOperation
from django.db import (
    DatabaseError,
    close_old_connections,
    connection,
    transaction,
)
from django.utils import timezone
from django_tasks.base import TaskContext, TaskResultStatus
from django_tasks.signals import task_finished, task_started
from django_tasks_db.management.commands.db_worker import Worker as LibraryWorker
from django_tasks_db.models import DBTaskResult

from .busy import is_passing
from .housekeeping import tidy
from .models import Lease

log = logging.getLogger("fitout.worker")

Task = DBTaskResult[Any, Any]

LEASE = timedelta(seconds=120)
BEAT_S = 15.0
TIDY_EVERY = timedelta(hours=6)
MOST_ATTEMPTS = 4
FIRST_WAIT = timedelta(seconds=10)


def take_back_lapsed(now: datetime, lease: timedelta = LEASE) -> int:
    """Return to the queue what a killed worker left running; give up after enough attempts."""
    alive = Lease.objects.filter(until__gte=now).values("task_id")
    with transaction.atomic():
        left = DBTaskResult.objects.running().filter(started_at__lt=now - lease)
        left = left.exclude(id__in=alive).select_for_update(
            skip_locked=connection.features.has_select_for_update_skip_locked
        )
        taken = [give_back(result, now, "the worker stopped while running it") for result in left]
        Lease.objects.lapsed(now).delete()
    return len(taken)


def give_back(result: Task, now: datetime, reason: str) -> bool:
    """To the queue again, later each time; or failed for good. True if it will run again."""
    attempts = len(result.worker_ids)
    if attempts >= MOST_ATTEMPTS:
        result.set_failed(RuntimeError(f"given up after {attempts} attempts: {reason}"))
        log.error("Task %s %s given up: %s", result.task_path, result.pk, reason)
        return False
    result.status = TaskResultStatus.READY
    result.started_at = None
    result.run_after = now + FIRST_WAIT * (2 ** (attempts - 1))
    result.save(update_fields=["status", "started_at", "run_after"])
    log.warning("Task %s %s goes back to the queue: %s", result.task_path, result.pk, reason)
    return True


class Keeper(threading.Thread):
    """Pushes on the lease of the task in hand and takes back what others let lapse."""

    def __init__(self, worker_id: str, *, beat_s: float = BEAT_S, lease: timedelta = LEASE) -> None:
        super().__init__(name="keeper", daemon=True)
        self.worker_id = worker_id
        self.beat_s = beat_s
        self.lease = lease
        self.stopping = threading.Event()
        self.in_hand: UUID | None = None
        self.tidy_at = timezone.now() + TIDY_EVERY

    def run(self) -> None:
        while not self.stopping.wait(self.beat_s):
            self.beat()
        connection.close()

    def stop(self) -> None:
        self.stopping.set()
        self.join(timeout=self.beat_s + 5)

    def beat(self) -> None:
        """A database that is locked or away now will be asked again at the next beat."""
        try:
            close_old_connections()
            now = timezone.now()
            if self.in_hand is not None:
                held = Lease.objects.filter(task_id=self.in_hand, worker_id=self.worker_id)
                held.update(until=now + self.lease)
            take_back_lapsed(now, self.lease)
            if now >= self.tidy_at:
                self.tidy_at = now + TIDY_EVERY
                tidy(now)
        except DatabaseError as error:
            log.warning("Heartbeat missed: %s", error)
            connection.close()

    @contextmanager
    def holding(self, task_id: UUID) -> Iterator[None]:
        until = timezone.now() + self.lease
        Lease.objects.update_or_create(
            task_id=task_id, defaults={"worker_id": self.worker_id, "until": until}
        )
        self.in_hand = task_id
        try:
            yield
        finally:
            self.in_hand = None
            Lease.objects.filter(task_id=task_id, worker_id=self.worker_id).delete()


class Worker(LibraryWorker):
    keeper: Keeper

    def run(self) -> None:
        """The library's loop, started again when the database was locked or away."""
        self.keeper = Keeper(self.worker_id)
        take_back_lapsed(timezone.now())
        tidy(timezone.now())
        self.keeper.start()
        try:
            while self.running and not self._loop_until_done():
                self.keeper.stopping.wait(self.interval or 1)
        finally:
            self.keeper.stop()

    def _loop_until_done(self) -> bool:
        try:
            super().run()
        except DatabaseError as error:
            if not is_passing(error):
                raise
            log.warning("The database cannot be asked now: %s", error)
            connection.close()
            return False
        return True

    def run_task(self, db_task_result: Task) -> None:
        self.running_task = True
        try:
            with self.keeper.holding(db_task_result.pk):
                self._run_once(db_task_result)
        finally:
            self.running_task = False
            self._run_tasks += 1

    def _run_once(self, result: Task) -> None:
        try:
            value = self._call(result)
        except BaseException as error:
            if is_passing(error):
                end = partial(give_back, result, timezone.now(), str(error))
            else:
                log.exception("Task %s %s failed", result.task_path, result.pk)
                end = partial(result.set_failed, error)
            self._if_still_ours(result, end)
            if not isinstance(error, Exception):
                raise
        else:
            self._if_still_ours(result, partial(result.set_successful, value))
        self._tell_finished(result)

    def _call(self, result: Task) -> Any:
        told: Any = result.task_result
        task = result.task
        task_started.send(sender=type(task.get_backend()), task_result=told)
        context = (TaskContext(task_result=told),) if task.takes_context else ()
        return task.call(*context, *told.args, **told.kwargs)

    def _if_still_ours(self, result: Task, write: Any) -> None:
        """A worker that slept past its lease must not write over the one that took its task."""
        with transaction.atomic():
            stored = DBTaskResult.objects.select_for_update().filter(pk=result.pk).first()
            if (
                stored is None
                or stored.status != TaskResultStatus.RUNNING
                or stored.worker_ids[-1:] != [self.worker_id]
            ):
                log.warning("Task %s was taken back meanwhile; its result is dropped", result.pk)
                return
            write()

    def _tell_finished(self, result: Task) -> None:
        if result.status not in (TaskResultStatus.SUCCESSFUL, TaskResultStatus.FAILED):
            return
        try:
            sender = type(result.task.get_backend())
            task_finished.send(sender=sender, task_result=result.task_result)
        except (ImportError, SuspiciousOperation):
            log.exception("Task %s names code that is not there", result.pk)
