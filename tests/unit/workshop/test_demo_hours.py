"""The demo's people work by day, on working days, on one thing at a time."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from itertools import pairwise

import pytest
from django.utils.timezone import localtime

from fitout.handover.demo import every
from fitout.kit.models import User
from fitout.workshop.calendar import MORNING_AND_AFTERNOON, is_working_day
from fitout.workshop.demo import last_working_moment, shifts
from fitout.workshop.models import BookedTime

pytestmark = pytest.mark.django_db
FRIDAY_AT_THREE = datetime(2026, 3, 6, 15, 0, tzinfo=UTC)


def by_day(moment: datetime) -> bool:
    at = localtime(moment)
    spans = MORNING_AND_AFTERNOON
    return is_working_day(at.date()) and any(a <= at.time() <= b for a, b in spans)


def test_a_run_that_reaches_the_weekend_goes_on_monday() -> None:
    found = list(shifts(FRIDAY_AT_THREE, Decimal(9), FRIDAY_AT_THREE + timedelta(days=9)))
    assert all(by_day(moment) for run in found for moment in run)
    assert sum((b - a for a, b in found), timedelta()) == timedelta(hours=9)
    assert found[-1][1].date() == datetime(2026, 3, 9, tzinfo=UTC).date()


def test_no_run_goes_past_now() -> None:
    now = FRIDAY_AT_THREE + timedelta(hours=1)
    [run] = shifts(FRIDAY_AT_THREE, Decimal(9), now)
    assert run == (FRIDAY_AT_THREE, now)


@pytest.mark.parametrize("hour", [0, 3, 10, 12, 16, 23])
@pytest.mark.parametrize("day", range(2, 9))
def test_whenever_it_is_the_last_working_moment_is_by_day(day: int, hour: int) -> None:
    now = datetime(2026, 3, day, hour, 20, tzinfo=UTC)
    last = last_working_moment(now)
    assert last <= now
    assert by_day(last)


def test_tests_are_entered_by_day() -> None:
    moments = every(timedelta(minutes=3), FRIDAY_AT_THREE)
    assert all(by_day(next(moments)) for _ in range(400))


@pytest.mark.usefixtures("demo")
def test_nobody_in_the_demo_works_at_night_or_on_two_things() -> None:
    runs = BookedTime.objects.exclude(stopped_at=None)
    assert runs.count() > 50
    for person in User.objects.all():
        own = runs.filter(user=person).order_by("started_at", "stopped_at")
        spans = [(run.started_at, run.stopped_at or run.started_at) for run in own]
        assert all(by_day(moment) for span in spans for moment in span)
        assert all(later[0] >= one[1] for one, later in pairwise(spans))
