"""A day as spans of hours, each in one state: as people tell it and as it is shown."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from electrical.day_plans import HOURS, starts_of
from electrical.models import OperatingState

NBSP = "\N{NO-BREAK SPACE}"


@dataclass(frozen=True)
class Span:
    """As typed; `end` up to 24, and before `start` where it goes over midnight."""

    number: int
    start: int
    end: int
    state: str

    @property
    def text(self) -> str:
        return f"{self.start} to {self.end}{NBSP}h {OperatingState(self.state).label}"

    @property
    def hours(self) -> list[int]:
        count = (self.end - self.start) % HOURS or HOURS
        return [(self.start + n) % HOURS for n in range(count)]


def spans_of(states: tuple[str, ...]) -> list[Span]:
    """Spans in the order of the day; one over midnight comes last."""
    if not states:
        return []
    starts = sorted(starts_of(states).items())
    ends = [hour for hour, _ in starts[1:]] + [starts[0][0] or HOURS]
    return [
        Span(n, hour, end, state)
        for n, ((hour, state), end) in enumerate(zip(starts, ends, strict=True), start=1)
    ]


def stretch(hours: list[int]) -> str:
    """The first run of hours among these, as “6 to 8 h”."""
    first = first_of(hours)
    end = first + 1
    while end % HOURS in hours and end - first < HOURS:
        end += 1
    return f"{first} to {(end - 1) % HOURS + 1}{NBSP}h"


def first_of(hours: list[int]) -> int:
    """Where the first run of hours begins; one over midnight begins before it."""
    return next((h for h in hours if (h - 1) % HOURS not in hours), hours[0])


def backwards(hour: int) -> Iterator[int]:
    for n in range(1, HOURS + 1):
        yield (hour - n) % HOURS
