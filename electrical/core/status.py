"""How sure we are of a value, and where it was printed."""

from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache


class SourceStatus(StrEnum):
    """How a value or a clause came to us; always shown beside the result."""

    READ = "read in the standard"
    SECOND_HAND = "second-hand"
    MEMORY = "from memory, to be checked"
    PRACTICE = "common practice"

    __hash__ = str.__hash__  # looked up often; an Enum would hash its name in Python

    @property
    def certainty(self) -> int:
        """Rank from 3 (read in the standard) down to 0 (common practice)."""
        return _CERTAINTY[self]


_CERTAINTY = {
    SourceStatus.PRACTICE: 0,
    SourceStatus.MEMORY: 1,
    SourceStatus.SECOND_HAND: 2,
    SourceStatus.READ: 3,
}


def least_certain(*statuses: SourceStatus) -> SourceStatus:
    """Return the least certain of several statuses.

    A result is only as sure as the weakest value that went into it.

    Parameters
    ----------
    *statuses : SourceStatus
        At least one status.

    Returns
    -------
    SourceStatus
        The one with the lowest certainty.
    """
    return min(statuses, key=_CERTAINTY.__getitem__)


@dataclass(frozen=True, kw_only=True)
class Clause:
    """Where a limit is printed.

    Parameters
    ----------
    source : str
        Standard and edition, e.g. ``"33 CFR 183.425"``.
    clause : str
        Clause or table, e.g. ``"Table 5, note 1"``.
    status : SourceStatus
        How the value came to us.
    """

    source: str
    clause: str
    status: SourceStatus

    def __str__(self) -> str:
        return f"{self.source}, {self.clause}" if self.clause else self.source

    def at(self, status: SourceStatus) -> "Clause":
        """Return the same place with the status of a value that is less sure."""
        return self if status is self.status else _at(self, status)


@lru_cache(maxsize=256)
def _at(clause: Clause, status: SourceStatus) -> Clause:
    return replace(clause, status=status)


NO_SOURCE = Clause(source="common practice, no source", clause="", status=SourceStatus.PRACTICE)
