"""The build sheet of a job, priced: the rows pricing works on, taken from the sheet's lines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from catalogue.models import Category, TaxGroup, Trade
from fitout.jobs.models import Job, LineKind
from fitout.jobs.sheet import SheetLine, sheet_lines
from quotes.models import JobTerms, MarkUp
from quotes.pricing import Price, SheetRow, TaxKey, price_job

ZERO = Decimal(0)


@dataclass(frozen=True, kw_only=True)
class PricedSheet:
    """Every line of a job with its price."""

    job: Job
    terms: JobTerms
    lines: Sequence[SheetLine]
    rows: Mapping[int, SheetRow]
    trades: Mapping[int, Trade]

    @cached_property
    def price(self) -> Price:
        return price_job(list(self.rows.values()), discount_pct=self.terms.discount_pct)

    @cached_property
    def top_lines(self) -> list[SheetLine]:
        return [line for line in self.lines if line.parent_id is None]


def priced_sheet(job: Job, lines: Sequence[SheetLine] | None = None) -> PricedSheet:
    """Price a job's sheet; pass `lines` when they are read already. Four queries more."""
    read = sheet_lines(job) if lines is None else lines
    terms = JobTerms.of(job)
    trades = {trade.pk: trade for trade in Trade.objects.all()}
    rows = Rows(terms=terms, trades=trades)
    return PricedSheet(
        job=job,
        terms=terms,
        lines=read,
        rows={line.id: rows.row(line) for line in read},
        trades=trades,
    )


class Rows:
    def __init__(self, *, terms: JobTerms, trades: Mapping[int, Trade]) -> None:
        self.terms = terms
        self.trades = trades
        self.mark_ups = MarkUp.objects.by_category()
        self.taxes = {
            group.pk: TaxKey(category_code=group.category_code, rate_pct=group.rate_pct)
            for group in TaxGroup.objects.all()
        }

    def row(self, line: SheetLine) -> SheetRow:
        trade = self.trades.get(line.trade_id) if line.trade_id else None
        mark_up_pct, mark_up_from = self._mark_up(line)
        return SheetRow(
            id=line.id,
            parent_id=line.parent_id,
            is_kit=line.kind == LineKind.KIT,
            is_counted=line.counts,
            quantity=line.effective_quantity,
            unit_cost=line.unit_cost,
            mark_up_pct=mark_up_pct,
            mark_up_from=mark_up_from,
            hours=line.labour_h_total,
            labour_cost_per_h=trade.cost_per_h if trade else ZERO,
            labour_sell_per_h=trade.sell_per_h if trade else ZERO,
            sell_override=line.sell_override,
            tax=self.taxes[line.tax_group_id],
        )

    def _mark_up(self, line: SheetLine) -> tuple[Decimal, str]:
        """The mark-up and where it comes from."""
        if line.kind == LineKind.SUBCONTRACT:
            return self.terms.subcontract_mark_up_pct, "Mark-up on subcontract, terms of this job"
        if line.part_category in self.mark_ups and line.part_category:
            name = Category(line.part_category).label
            return self.mark_ups[line.part_category], f"Mark-up of {name}"
        return self.mark_ups.get("", ZERO), "Mark-up of everything else"


def own_prices(job: Job, lines: Sequence[SheetLine]) -> dict[int, Decimal]:
    """Each line's own price for the build sheet, without the lines below it."""
    price = priced_sheet(job, lines).price
    return {
        pk: ZERO if line.is_inside_overridden else line.own_net for pk, line in price.lines.items()
    }
