import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.db import OperationalError, transaction
from django.utils import timezone
from django_tasks import task_backends
from django_tasks.base import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from fitout.kit.models import Counter, Lease
from fitout.kit.worker import LEASE, MOST_ATTEMPTS, Keeper, Worker, take_back_lapsed
from tests.fixtures.database import OwnDatabase
from tests.unit.kit import jobs

ROOT = Path(__file__).parents[3]


@pytest.fixture
def queue(settings: Any) -> Iterator[None]:
    """Tasks wait in the database, as they do in production."""
    before = settings.TASKS
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend", "QUEUES": []}}
    _forget_backends()
    yield
    settings.TASKS = before
    _forget_backends()


def _forget_backends() -> None:
    """The library reads its settings once per process."""
    handler: Any = task_backends
    vars(handler).pop("settings", None)
    handler._settings = None
    if hasattr(handler._connections, "default"):
        del handler._connections.default


def made_worker(**options: Any) -> Worker:
    given: dict[str, Any] = {
        "queue_names": ["*"],
        "excluded_queue_names": [],
        "interval": 0.05,
        "batch": True,
        "backend_name": "default",
        "startup_delay": False,
        "max_tasks": None,
        "worker_id": "w1",
    }
    return Worker(**{**given, **options})


def left_running(attempts: int = 1, minutes_ago: int = 60) -> DBTaskResult[Any, Any]:
    """A task as a killed worker leaves it."""
    result = jobs.count_up.enqueue("x")
    stored = DBTaskResult.objects.get(pk=result.id)
    stored.status = TaskResultStatus.RUNNING
    stored.started_at = timezone.now() - timedelta(minutes=minutes_ago)
    stored.worker_ids = ["gone"] * attempts
    stored.save()
    return stored


def test_a_task_is_done_and_its_lease_given_up(own_database: Any, queue: None) -> None:
    jobs.count_up.enqueue("x")
    made_worker().run()
    assert Counter.objects.get(series="x").last == 1
    assert DBTaskResult.objects.get().status == TaskResultStatus.SUCCESSFUL
    assert not Lease.objects.exists()


def test_a_faulty_task_fails_at_once_with_its_trace(own_database: Any, queue: None) -> None:
    jobs.divide.enqueue(0)
    made_worker().run()
    stored = DBTaskResult.objects.get()
    assert stored.status == TaskResultStatus.FAILED
    assert stored.exception_class_path == "builtins.ZeroDivisionError"


def test_a_passing_fault_is_tried_again_later(own_database: Any, queue: None) -> None:
    jobs.locked.enqueue()
    now = timezone.now()
    made_worker().run()
    stored = DBTaskResult.objects.get()
    assert stored.status == TaskResultStatus.READY
    assert stored.run_after > now
    assert len(stored.worker_ids) == 1


def test_a_killed_workers_task_goes_back_to_the_queue(db: None, queue: None) -> None:
    stored = left_running()
    assert take_back_lapsed(timezone.now()) == 1
    stored.refresh_from_db()
    assert stored.status == TaskResultStatus.READY
    assert stored.run_after > timezone.now()


def test_a_task_with_a_good_lease_is_left_alone(db: None, queue: None) -> None:
    stored = left_running()
    now = timezone.now()
    Lease.objects.create(task_id=stored.pk, worker_id="w2", until=now + timedelta(seconds=1))
    assert take_back_lapsed(now) == 0
    assert take_back_lapsed(now + timedelta(seconds=2)) == 1


def test_a_task_just_begun_has_time_to_take_its_lease(db: None, queue: None) -> None:
    left_running(minutes_ago=0)
    assert take_back_lapsed(timezone.now()) == 0


def test_a_task_that_kills_its_worker_again_and_again_is_given_up(db: None, queue: None) -> None:
    stored = left_running(attempts=MOST_ATTEMPTS)
    take_back_lapsed(timezone.now())
    stored.refresh_from_db()
    assert stored.status == TaskResultStatus.FAILED
    assert f"given up after {MOST_ATTEMPTS} attempts" in stored.traceback


def test_each_attempt_waits_longer(db: None, queue: None) -> None:
    now = timezone.now()
    waits = []
    for attempts in range(1, MOST_ATTEMPTS):
        stored = left_running(attempts)
        take_back_lapsed(now)
        stored.refresh_from_db()
        waits.append((stored.run_after - now).total_seconds())
    assert waits == [10, 20, 40]


def test_a_heartbeat_pushes_the_lease_on(own_database: Any, queue: None) -> None:
    stored = left_running()
    keeper = Keeper("w1")
    with keeper.holding(stored.pk):
        Lease.objects.update(until=timezone.now())
        keeper.beat()
        assert Lease.objects.get().until > timezone.now() + LEASE - timedelta(seconds=5)
    assert not Lease.objects.exists()


def test_a_locked_database_does_not_stop_the_heart(
    own_database: Any, queue: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    def locked(*_: Any) -> int:
        raise OperationalError("database is locked")

    monkeypatch.setattr("fitout.kit.worker.take_back_lapsed", locked)
    keeper, stored = Keeper("w1"), left_running()
    with keeper.holding(stored.pk):
        keeper.beat()
    monkeypatch.undo()
    keeper.beat()
    stored.refresh_from_db()
    assert stored.status == TaskResultStatus.READY


def test_a_worker_that_lost_its_lease_does_not_write_over_the_other(
    own_database: Any, queue: None
) -> None:
    jobs.lose_lease.enqueue()
    made_worker().run()
    stored = DBTaskResult.objects.get()
    assert stored.status == TaskResultStatus.RUNNING
    assert stored.worker_ids == ["w1", "w2"]


def test_the_loop_starts_again_when_the_database_was_locked(
    own_database: Any, queue: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    jobs.count_up.enqueue("x")
    asked: list[int] = []
    claim = DBTaskResult.claim

    def locked_at_first(self: DBTaskResult[Any, Any], worker_id: str) -> None:
        asked.append(1)
        if len(asked) == 1:
            raise OperationalError("connection is locked out") from OSError("database is locked")
        claim(self, worker_id)

    monkeypatch.setattr(DBTaskResult, "claim", locked_at_first)
    made_worker(batch=False, max_tasks=1).run()
    assert Counter.objects.get(series="x").last == 1


def test_nothing_is_queued_when_the_request_is_rolled_back(db: None, queue: None) -> None:
    with transaction.atomic():
        jobs.count_up.enqueue("x")
        transaction.set_rollback(True)
    assert not DBTaskResult.objects.exists()


def worker_process(database: OwnDatabase, **environment: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", "django", "worker", "--interval", "0.1"],
        cwd=ROOT,
        env={
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "fitout.settings",
            "DEBUG": "true",
            "WORK": "worker",
            "DATABASE_URL": database.url,
            **environment,
        },
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )


def wait_for(condition: Callable[[], bool], seconds: float = 30) -> None:
    until = time.monotonic() + seconds
    while not condition():
        assert time.monotonic() < until, "waited too long"
        time.sleep(0.1)


def test_a_worker_killed_in_the_middle_loses_nothing(
    own_database: OwnDatabase, queue: None
) -> None:
    jobs.slow.enqueue("x", seconds=60)
    first = worker_process(own_database)
    try:
        wait_for(lambda: Lease.objects.exists() and Counter.objects.filter(series="x").exists())
    finally:
        first.kill()
        first.wait()
    stored = DBTaskResult.objects.get()
    assert stored.status == TaskResultStatus.RUNNING
    stored.args_kwargs = {"args": ["x"], "kwargs": {"seconds": 0}}
    stored.save()
    take_back_lapsed(timezone.now() + LEASE * 2)
    DBTaskResult.objects.update(run_after=timezone.now())
    second = worker_process(own_database)
    try:
        wait_for(lambda: DBTaskResult.objects.get().status == TaskResultStatus.SUCCESSFUL)
    finally:
        second.send_signal(signal.SIGTERM)
        assert second.wait(timeout=60) == 0
    assert len(DBTaskResult.objects.get().worker_ids) == 2
    assert Counter.objects.get(series="x").last == 1
