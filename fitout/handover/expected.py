"""A row of a test sheet before it is stored."""

from __future__ import annotations

from dataclasses import dataclass

PRACTICE = "common practice, no source"


@dataclass(frozen=True, kw_only=True)
class Expected:
    """One row of a sheet before it is stored. Both bounds None: judged by eye.

    `asks` is what the vessel must carry, any of it, for the test to make sense; empty: nothing
    beyond what calls for the sheet.
    """

    what: str
    unit: str = ""
    low: float | None = None
    high: float | None = None
    source: str = ""
    circuit_id: int | None = None
    check: str = ""
    asks: tuple[str, ...] = ()
