"""Figures of a build sheet added up, as its page adds them zone by zone."""

from collections.abc import Iterable

from fitout.jobs.sheet import SheetLine, Sums


def counted(lines: Iterable[SheetLine]) -> Sums:
    return _sums(line for line in lines if line.counts)


def options(lines: Iterable[SheetLine]) -> Sums:
    """Options nobody has taken yet."""
    return _sums(line for line in lines if not line.counts)


def _sums(lines: Iterable[SheetLine]) -> Sums:
    sums = Sums()
    for line in lines:
        sums.add(line, None)
    return sums
