"""The build sheet of a job as pricing and the labour estimate see it: a few queries, no page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from math import prod

from catalogue.models import Trade
from fitout.jobs.models import Choice, Job, Line, LineKind
from quotes.models import JobTerms, MarkUp
from quotes.pricing import Price, SheetRow, TaxKey, price_job

ONE = Decimal(1)
ZERO = Decimal(0)


@dataclass(frozen=True, kw_only=True)
class PricedSheet:
    """Every line of a job with its effective quantity, its hours and its price."""

    job: Job
    terms: JobTerms
    lines: Sequence[Line]
    rows: dict[int, SheetRow]
    multipliers: dict[int, Decimal]

    @cached_property
    def price(self) -> Price:
        return price_job(list(self.rows.values()), discount_pct=self.terms.discount_pct)

    @cached_property
    def top_lines(self) -> list[Line]:
        return [line for line in self.lines if line.parent_id is None]


def priced_sheet(job: Job) -> PricedSheet:
    lines = lines_for_pricing(job)
    terms = JobTerms.of(job)
    mark_ups = MarkUp.objects.by_category()
    by_id = {line.pk: line for line in lines}
    rows: dict[int, SheetRow] = {}
    multipliers = {line.pk: conditions_of(line) for line in lines}
    for line in lines:
        rows[line.pk] = _row(line, by_id, multipliers[line.pk], terms, mark_ups)
    return PricedSheet(job=job, terms=terms, lines=lines, rows=rows, multipliers=multipliers)


def lines_for_pricing(job: Job) -> list[Line]:
    return list(
        Line.objects.filter(job=job)
        .select_related("part__trade", "operation__trade", "trade", "tax_group", "zone")
        .prefetch_related("conditions")
        .order_by("zone__position", "position", "pk")
    )


def conditions_of(line: Line) -> Decimal:
    """What slows the work down: the product of the line's conditions."""
    return prod((condition.multiplier for condition in line.conditions.all()), start=ONE)


def trade_of(line: Line) -> Trade | None:
    if line.trade is not None:
        return line.trade
    if line.operation is not None:
        return line.operation.trade
    return line.part.trade if line.part is not None else None


def top_of(line: Line, by_id: dict[int, Line]) -> Line:
    while line.parent_id is not None:
        line = by_id[line.parent_id]
    return line


def effective_quantity(line: Line, by_id: dict[int, Line]) -> Decimal:
    quantity = line.quantity
    while line.parent_id is not None:
        line = by_id[line.parent_id]
        quantity *= line.quantity
    return quantity


def counts(top: Line) -> bool:
    return top.choice == Choice.INCLUDED or top.taken


def _row(
    line: Line,
    by_id: dict[int, Line],
    multiplier: Decimal,
    terms: JobTerms,
    mark_ups: dict[str, Decimal],
) -> SheetRow:
    quantity = effective_quantity(line, by_id)
    trade = trade_of(line)
    return SheetRow(
        id=line.pk,
        parent_id=line.parent_id,
        is_kit=line.kind == LineKind.KIT,
        is_counted=counts(top_of(line, by_id)),
        quantity=quantity,
        unit_cost=line.unit_cost,
        mark_up_pct=_mark_up(line, terms, mark_ups),
        hours=quantity * line.standard_h * multiplier,
        labour_cost_per_h=trade.cost_per_h if trade else ZERO,
        labour_sell_per_h=trade.sell_per_h if trade else ZERO,
        sell_override=line.sell_override,
        tax=TaxKey(
            category_code=line.tax_group.category_code, rate_pct=line.tax_group.rate_pct
        ),
    )


def _mark_up(line: Line, terms: JobTerms, mark_ups: dict[str, Decimal]) -> Decimal:
    if line.kind == LineKind.SUBCONTRACT:
        return terms.subcontract_mark_up_pct
    everything_else = mark_ups.get("", ZERO)
    if line.part is None:
        return everything_else
    return mark_ups.get(line.part.category, everything_else)
