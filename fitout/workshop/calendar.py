"""Working days: Monday to Friday without the public holidays of the workshop's country.

Hours of the day are those the demo keeps to; a workshop's people book theirs by the clock.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from functools import lru_cache

from django.utils.timezone import localtime, make_aware

ONE_DAY = timedelta(days=1)
MORNING_AND_AFTERNOON = ((time(8), time(12)), (time(13), time(17)))


@lru_cache(maxsize=64)
def public_holidays(country: str, year: int) -> frozenset[date]:
    if not country:
        return frozenset()
    import holidays

    try:
        return frozenset(holidays.country_holidays(country, years=year))
    except NotImplementedError:
        return frozenset()


def is_working_day(day: date, country: str = "") -> bool:
    return day.weekday() < 5 and day not in public_holidays(country, day.year)


def working_days(start: date, country: str = "") -> Iterator[date]:
    """Working days from `start` on, without end."""
    day = start
    while True:
        if is_working_day(day, country):
            yield day
        day += ONE_DAY


def working_hours(since: datetime, country: str = "") -> Iterator[tuple[datetime, datetime]]:
    """Mornings and afternoons of working days from the day of `since` on, without end."""
    for day in working_days(localtime(since).date(), country):
        for opens, closes in MORNING_AND_AFTERNOON:
            yield (
                make_aware(datetime.combine(day, opens)),
                make_aware(datetime.combine(day, closes)),
            )


def next_working_day(day: date, country: str = "") -> date:
    return next(working_days(day, country))


def working_days_between(start: date, end: date, country: str = "") -> list[date]:
    """Both ends included."""
    days = []
    day = start
    while day <= end:
        if is_working_day(day, country):
            days.append(day)
        day += ONE_DAY
    return days
