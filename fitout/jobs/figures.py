"""What the apps above tell about lines of a build sheet: price, follow-up, circuits.

The build sheet lies below pricing, purchasing and wiring, so it asks through this list.
Each app registers one function from `AppConfig.ready()`; where none is registered the
sheet leaves the column out.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .models import Job
    from .sheet.values import SheetLine


@dataclass(frozen=True)
class FollowUp:
    """Where the parts of a line are; `state` is one of the line follow-up words."""

    state: str
    words: str = ""
    late: bool = False


@dataclass(frozen=True)
class Step:
    """One figure of a price: what it is, how it is worked out, what it comes to, from where."""

    name: str
    how: str
    result: str
    source: str = ""


Prices = Mapping[int, Decimal]
ExplainPrice = Callable[["Job", int], "Sequence[Step]"]
PriceLines = Callable[["Job", "Sequence[SheetLine]"], Prices]
WholeSheet = Callable[[], "Sequence[SheetLine]"]
FollowLines = Callable[["Job", "Sequence[SheetLine]", WholeSheet], Mapping[int, FollowUp]]
CircuitsOfLines = Callable[["Job", "Sequence[SheetLine]"], Mapping[int, str]]

_sources: dict[str, Any] = {}


def register_prices(price_lines: PriceLines) -> None:
    """`price_lines(job, lines)` answers each line's own price without tax, by line id.

    The price is for the effective quantity with the line's own labour, whether the line
    counts or not, and without the lines below it: the sheet adds those up itself.
    """
    _sources["prices"] = price_lines


def register_explanation(explain_price: ExplainPrice) -> None:
    """`explain_price(job, line_id)` tells how the price of a line is worked out, step by step."""
    _sources["explanation"] = explain_price


def register_follow_up(follow_lines: FollowLines) -> None:
    """`follow_lines(job, lines, whole)` answers by line id; `lines` may be those of one zone,
    `whole()` reads all of the job's, for what its lines share."""
    _sources["follow_up"] = follow_lines


def register_circuits(circuits_of_lines: CircuitsOfLines) -> None:
    _sources["circuits"] = circuits_of_lines


def price_lines(job: Job, lines: Sequence[SheetLine]) -> Prices | None:
    source: PriceLines | None = _sources.get("prices")
    return source(job, lines) if source else None


def explain_price(job: Job, line_id: int) -> Sequence[Step]:
    source: ExplainPrice | None = _sources.get("explanation")
    return source(job, line_id) if source else ()


def follow_lines(
    job: Job, lines: Sequence[SheetLine], whole: WholeSheet
) -> Mapping[int, FollowUp] | None:
    source: FollowLines | None = _sources.get("follow_up")
    return source(job, lines, whole) if source else None


def circuits_of_lines(job: Job, lines: Sequence[SheetLine]) -> Mapping[int, str] | None:
    source: CircuitsOfLines | None = _sources.get("circuits")
    return source(job, lines) if source else None
