"""A worker killed in the middle of a task: the task is taken back and done by another."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from django.utils import timezone
from django_tasks.base import TaskResultStatus
from django_tasks_db.models import DBTaskResult
from pytest_django import Settings

from fitout.bootstrap.environment import ROOT
from fitout.kit.models.leases import Lease
from tests.fixtures.database import OwnDatabase
from tests.reliability.slow_task import write_down

LONG_AGO = timedelta(hours=1)


class Workers:
    def __init__(self, database_url: str) -> None:
        self.started: list[subprocess.Popen[bytes]] = []
        self.environment = {
            **os.environ,
            "DATABASE_URL": database_url,
            "DJANGO_SETTINGS_MODULE": "fitout.settings",
            "WORK": "worker",
        }

    def start(self, *options: str) -> subprocess.Popen[bytes]:
        command = [sys.executable, str(ROOT / "manage.py"), "worker", "--interval", "0.1", *options]
        self.started.append(subprocess.Popen(command, cwd=ROOT, env=self.environment))
        return self.started[-1]

    def run_until_nothing_is_left(self) -> None:
        assert self.start("--batch").wait(60) == 0


@pytest.fixture
def workers(own_database: OwnDatabase) -> Iterator[Workers]:
    workers = Workers(own_database.url)
    yield workers
    for worker in workers.started:
        worker.kill()
        worker.wait()


def _wait_until_begun(notes: Path, worker: subprocess.Popen[bytes]) -> None:
    """Until the note is written: the file is there, still empty, a moment before that."""
    give_up_at = time.monotonic() + 60
    while not (notes.exists() and notes.read_text() == "started 1\n"):
        assert worker.poll() is None, "the worker ended"
        assert time.monotonic() < give_up_at, "the worker did not start the task"
        time.sleep(0.05)


@pytest.fixture
def queued(own_database: OwnDatabase, settings: Settings, tmp_path: Path) -> Path:
    settings.TASKS = {
        "default": {"BACKEND": "django_tasks_db.DatabaseBackend", "QUEUES": ["default", "slow"]}
    }
    notes = tmp_path / "notes"
    write_down.enqueue(str(notes))
    return notes


def test_what_it_left_running_is_done_by_the_next(workers: Workers, queued: Path) -> None:
    doomed = workers.start()
    _wait_until_begun(queued, doomed)
    doomed.send_signal(signal.SIGKILL)
    doomed.wait()
    left = DBTaskResult.objects.get()
    assert left.status == TaskResultStatus.RUNNING

    _let_the_lease_lapse()
    workers.run_until_nothing_is_left()
    taken_back = DBTaskResult.objects.get()
    assert taken_back.status == TaskResultStatus.READY
    assert taken_back.run_after > timezone.now()

    DBTaskResult.objects.update(run_after=timezone.now() - LONG_AGO)
    workers.run_until_nothing_is_left()
    done = DBTaskResult.objects.get()
    assert done.status == TaskResultStatus.SUCCESSFUL
    assert done.return_value == "finished at attempt 2"
    assert queued.read_text() == "started 1\nstarted 2\n"
    assert not Lease.objects.exists()


def test_while_its_lease_holds_nobody_takes_its_task(workers: Workers, queued: Path) -> None:
    _wait_until_begun(queued, workers.start())
    DBTaskResult.objects.update(started_at=timezone.now() - LONG_AGO)
    workers.run_until_nothing_is_left()
    assert DBTaskResult.objects.get().status == TaskResultStatus.RUNNING
    assert queued.read_text() == "started 1\n"


def _let_the_lease_lapse() -> None:
    before = timezone.now() - LONG_AGO
    assert Lease.objects.update(until=before) == 1
    DBTaskResult.objects.update(started_at=before)
