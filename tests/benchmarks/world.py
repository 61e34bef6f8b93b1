"""A database for one benchmark: the demo catalogue and a job of many lines."""

from __future__ import annotations

import logging
import os
import tempfile
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from time import perf_counter

LINES = 600


@contextmanager
def sqlite_database() -> Iterator[str]:
    with tempfile.TemporaryDirectory(prefix="fitout-benchmark-") as folder:
        yield f"sqlite:///{folder}/benchmark.sqlite3"


@contextmanager
def temporary_database(
    of: Callable[[], AbstractContextManager[str]] = sqlite_database,
) -> Iterator[str]:
    """Set Django up on an empty, migrated database of its own; nothing else may have done so."""
    with of() as url:
        os.environ["DATABASE_URL"] = url
        os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
        import django

        django.setup()
        logging.disable(logging.WARNING)
        from django.core.management import call_command
        from django.db import connections

        call_command("migrate", verbosity=0)
        yield url
        connections.close_all()


def load_catalogue() -> None:
    from django.utils import timezone

    import catalogue.demo
    from fitout.demo.people import load_people

    catalogue.demo.load(load_people().owner, timezone.localdate())


def job_of_many_lines(lines: int = LINES) -> int:
    """The number of a new job with that many part lines spread over all its zones."""
    from catalogue.models import Part
    from fitout.jobs.models import Job, Line
    from fitout.jobs.sheet.adding import add_part
    from fitout.kit.models import User
    from tests.factories.jobs import make_job

    owner = User.objects.get(username="maren")
    job: Job = make_job(owner)
    zones = list(job.vessel.zones.all())
    parts = list(Part.objects.filter(active=True))
    for number in range(lines):
        zone, part = zones[number % len(zones)], parts[number % len(parts)]
        add_part(job, zone, part, by=owner)
    assert Line.objects.filter(job=job).count() == lines
    return job.number


def milliseconds(call: Callable[[], object]) -> float:
    began = perf_counter()
    call()
    return 1e3 * (perf_counter() - began)


def turn_by_turn(rounds: int, **calls: Callable[[], object]) -> dict[str, list[float]]:
    """Times of each call in rising order, taken in turns so that a busy machine slows all alike."""
    times: dict[str, list[float]] = {name: [] for name in calls}
    for name, call in calls.items():
        call()
        times[name].clear()
    for _ in range(rounds):
        for name, call in calls.items():
            times[name].append(milliseconds(call))
    return {name: sorted(values) for name, values in times.items()}


def verdict(what: str, ratio: float, limit: float) -> int:
    """Print the ratio beside its limit; answer the code to exit with."""
    print(f"{what}: {ratio:.2f} times, at most {limit:g}: {'ok' if ratio <= limit else 'TOO MUCH'}")
    return 0 if ratio <= limit else 1
