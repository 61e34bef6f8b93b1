"""Demo: tests entered, register filled, the pack made."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from decimal import Decimal

from fitout.handover.models import Outcome, TestReading
from fitout.handover.packing import ask_for, make
from fitout.handover.registering import refresh
from fitout.handover.test_sheets import enter, generate
from fitout.jobs.models import Job
from fitout.kit.audit import tracked
from fitout.kit.models import User, Workshop
from fitout.workshop.calendar import working_hours

#: Where in the expected range a demo reading falls.
PLACES = (Decimal("0.62"), Decimal("0.71"), Decimal("0.55"), Decimal("0.80"))
STEP = Decimal("0.0001")
MINUTES_EACH = timedelta(minutes=3)


def enter_tests(
    job: Job, *, share: Decimal, testers: Sequence[User], by: User, at: datetime
) -> None:
    generate(job, by=by)
    readings = list(TestReading.objects.filter(sheet__job=job).select_related("sheet__job"))
    moments = every(MINUTES_EACH, at)
    for number, reading in enumerate(readings[: int(len(readings) * share)]):
        measured = plausible(reading, PLACES[number % len(PLACES)])
        enter(
            reading,
            measured=measured,
            outcome=Outcome.OPEN if measured is not None else Outcome.PASS,
            remark="",
            by=testers[number % 2],
            at=next(moments),
        )


def every(step: timedelta, since: datetime) -> Iterator[datetime]:
    """Moments a step apart, in working hours only."""
    for opens, closes in working_hours(since, Workshop.current().country):
        moment = max(opens, since)
        while moment < closes:
            yield moment
            moment += step


def plausible(reading: TestReading, place: Decimal) -> Decimal | None:
    """A value inside the expected range; None where the test is by eye."""
    low, high = reading.expected_low, reading.expected_high
    if low is not None and high is not None:
        return (low + (high - low) * place).quantize(STEP)
    if high is not None:
        return (high * place).quantize(STEP)
    if low is not None:
        return (low * (1 + place)).quantize(STEP)
    return None


def hand_over(job: Job, *, by: User, at: datetime) -> None:
    refresh(job, by=by)
    _read_plates(job, by=by)
    make(ask_for(job, by=by, at=at), now=at)


def _read_plates(job: Job, *, by: User) -> None:
    """What the customer supplied came without a goods receipt; its numbers are read off it."""
    for item in job.register.filter(serial=""):
        label = f"Serial number of {item.description}"
        with tracked(actor=by, scope=job.scope, label=label, action="register") as change:
            change.watch(item)
            item.serial = f"{item.part_code}-{item.line_id:05d}-{item.ordinal}"
            item.save_if_version(item.version, by=by)
