"""The latest booked time of a job, by the day it began."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import groupby

from django.utils import timezone

from fitout.jobs.models import Job
from fitout.workshop.models import BookedTime

LATEST = 30


@dataclass(frozen=True)
class BookedDay:
    on: date
    runs: tuple[BookedTime, ...]

    @property
    def hours(self) -> Decimal:
        """A running clock counts once it is stopped."""
        return sum((run.hours or Decimal(0) for run in self.runs), Decimal(0))


def booked_days(job: Job) -> list[BookedDay]:
    """Whole days, the latest first, as many as hold the latest `LATEST` runs."""
    runs = BookedTime.objects.filter(task__job=job).select_related("task", "user")
    beyond = runs[LATEST - 1 : LATEST].first()
    if beyond is not None:
        began = timezone.localtime(beyond.started_at).replace(hour=0, minute=0, second=0)
        runs = runs.filter(started_at__gte=began.replace(microsecond=0))
    return [BookedDay(on, tuple(of_day)) for on, of_day in groupby(runs, key=_day)]


def _day(run: BookedTime) -> date:
    return timezone.localtime(run.started_at).date()
