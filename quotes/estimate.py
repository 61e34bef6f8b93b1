"""The labour estimate: standard time × conditions × rate, per line and by trade."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal

from catalogue.models import Trade
from catalogue.models.labour import Phase
from fitout.jobs.sheet import SheetLine
from fitout.kit.money import round_money
from quotes.sheet_rows import PricedSheet

ZERO = Decimal(0)


@dataclass(frozen=True, kw_only=True)
class LabourRow:
    """One line's work. `standard_h` and `hours` are for all of its quantity."""

    line: SheetLine
    trade: Trade
    standard_h: Decimal
    hours: Decimal
    sell_per_h: Decimal
    cost: Decimal
    sell: Decimal
    is_counted: bool

    @property
    def phase(self) -> str:
        return self.line.phase or Phase.SECOND_FIX


@dataclass(frozen=True, kw_only=True)
class TradeTotal:
    trade: Trade
    standard_h: Decimal
    hours: Decimal
    cost: Decimal
    sell: Decimal


@dataclass(frozen=True, kw_only=True)
class Estimate:
    rows: tuple[LabourRow, ...]
    by_trade: tuple[TradeTotal, ...]
    by_phase: dict[str, Decimal]
    standard_h: Decimal
    hours: Decimal
    cost: Decimal
    sell: Decimal
    optional_h: Decimal
    without_trade: tuple[SheetLine, ...]

    @property
    def without_trade_h(self) -> Decimal:
        return sum((line.labour_h_total for line in self.without_trade), ZERO)

    @property
    def conditions_h(self) -> Decimal:
        """Hours that conditions add to the standard time."""
        return self.hours - self.standard_h


def lines_without_rate(sheet: PricedSheet) -> tuple[SheetLine, ...]:
    """Lines, options too, whose hours no trade's rate prices: they would be done for nothing."""
    return tuple(line for line in sheet.lines if line.labour_h_total and line.trade_id is None)


def estimate(sheet: PricedSheet) -> Estimate:
    rows = tuple(row for line in sheet.lines if (row := _row(sheet, line)) is not None)
    counted = [row for row in rows if row.is_counted]
    by_phase: defaultdict[str, Decimal] = defaultdict(lambda: ZERO)
    for row in counted:
        by_phase[row.phase] += row.hours
    return Estimate(
        rows=rows,
        by_trade=_by_trade(counted),
        by_phase={phase: by_phase[phase] for phase in Phase.values if phase in by_phase},
        standard_h=sum((row.standard_h for row in counted), ZERO),
        hours=sum((row.hours for row in counted), ZERO),
        cost=sum((row.cost for row in counted), ZERO),
        sell=sum((row.sell for row in counted), ZERO),
        optional_h=sum((row.hours for row in rows if not row.is_counted), ZERO),
        without_trade=lines_without_rate(sheet),
    )


def _row(sheet: PricedSheet, line: SheetLine) -> LabourRow | None:
    row = sheet.rows[line.id]
    if not row.hours or line.trade_id is None:
        return None
    return LabourRow(
        line=line,
        trade=sheet.trades[line.trade_id],
        standard_h=line.effective_quantity * line.standard_h,
        hours=row.hours,
        sell_per_h=row.labour_sell_per_h,
        cost=round_money(row.hours * row.labour_cost_per_h),
        sell=round_money(row.hours * row.labour_sell_per_h),
        is_counted=row.is_counted,
    )


def _by_trade(rows: list[LabourRow]) -> tuple[TradeTotal, ...]:
    trades = {row.trade.pk: row.trade for row in rows}
    totals = []
    for trade in sorted(trades.values(), key=lambda trade: (trade.position, trade.name)):
        own = [row for row in rows if row.trade.pk == trade.pk]
        totals.append(
            TradeTotal(
                trade=trade,
                standard_h=sum((row.standard_h for row in own), ZERO),
                hours=sum((row.hours for row in own), ZERO),
                cost=sum((row.cost for row in own), ZERO),
                sell=sum((row.sell for row in own), ZERO),
            )
        )
    return tuple(totals)
