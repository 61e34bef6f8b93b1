"""Background tasks for the tests of the worker."""

import time

from django.db import OperationalError
from django_tasks import task
from django_tasks_db.models import DBTaskResult

from fitout.kit.models import Counter


@task()
def count_up(series: str) -> int:
    counter, _ = Counter.objects.get_or_create(series=series)
    counter.last += 1
    counter.save()
    return counter.last


@task()
def divide(by: int) -> float:
    return 1 / by


@task()
def locked() -> None:
    raise OperationalError("database is locked")


@task()
def lose_lease() -> None:
    """As if this worker slept so long that another took its task."""
    stored = DBTaskResult.objects.get()
    stored.worker_ids = [*stored.worker_ids, "w2"]
    stored.save()


@task()
def slow(series: str, *, seconds: float) -> None:
    """Harmless when done twice: the count is set, not raised."""
    Counter.objects.update_or_create(series=series, defaults={"last": 1})
    time.sleep(seconds)
