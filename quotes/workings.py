"""How the price of one line is worked out, in words, from the figures pricing itself works with."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal

from django.utils.formats import date_format

from catalogue.models import Condition, PriceChange, SupplierPart
from fitout.jobs.figures import Step
from fitout.jobs.models import Job, LineKind
from fitout.jobs.sheet import SheetLine
from fitout.kit.money import money_text, percent_text, quantity_text
from quotes.pricing import PricedLine, SheetRow, own_price
from quotes.sheet_rows import PricedSheet, priced_sheet

COST_FROM = {
    LineKind.SUBCONTRACT: "the subcontractor's price, written on the line",
    LineKind.PROVISIONAL: "the sum set aside, written on the line",
    LineKind.CUSTOMER_SUPPLIED: "the customer supplies it",
}


def explain_price(job: Job, line_id: int) -> list[Step]:
    sheet = priced_sheet(job)
    line = next((line for line in sheet.lines if line.id == line_id), None)
    return [] if line is None else list(_Words(sheet, line).steps())


class _Words:
    def __init__(self, sheet: PricedSheet, line: SheetLine) -> None:
        self.sheet = sheet
        self.line = line
        self.row: SheetRow = sheet.rows[line.id]
        self.priced: PricedLine = sheet.price.lines[line.id]
        self.own = own_price(self.row)
        self.quantity = quantity_text(self.row.quantity, 2)

    def steps(self) -> Iterator[Step]:
        if self.row.is_kit:
            yield from self._below()
        elif self.line.kind != LineKind.LABOUR:
            yield from self._material()
        if self.row.hours:
            yield from self._labour()
        if self.row.sell_override is not None:
            yield from self._by_hand(self.row.sell_override)
        yield from self._whole()

    def money(self, amount: Decimal) -> str:
        return money_text(amount, self.sheet.job.currency)

    def _below(self) -> Iterator[Step]:
        below = [line for line in self.sheet.lines if line.parent_id == self.line.id]
        count = f"{len(below)} line" + ("" if len(below) == 1 else "s")
        net = sum((self.sheet.price.lines[line.id].net for line in below), Decimal(0))
        yield Step(
            f"The {count} below it", "added up", self.money(net), "each line tells its own price"
        )

    def _material(self) -> Iterator[Step]:
        row, own = self.row, self.own
        yield Step("Cost each", "", self.money(row.unit_cost), self._cost_from())
        mark_up = percent_text(row.mark_up_pct, 2)
        how = f"{self.money(row.unit_cost)} × (1 + mark-up {mark_up})"
        yield Step("Sell price each", how, self.money(own.sell_each), row.mark_up_from)
        if row.quantity != 1:
            how = f"{self.quantity} × {self.money(own.sell_each)}"
            yield Step("Material", how, self.money(own.material), self._quantity_from())

    def _quantity_from(self) -> str:
        if self.line.quantity == self.line.effective_quantity:
            return "quantity of the line"
        return f"{quantity_text(self.line.quantity, 2)} in each of what it stands in"

    def _cost_from(self) -> str:
        line = self.line
        if line.kind in COST_FROM:
            return COST_FROM[LineKind(line.kind)]
        offer = (
            SupplierPart.objects.best_first()
            .filter(part=line.part_id)
            .select_related("supplier")
            .first()
            if line.part_id
            else None
        )
        if offer is None:
            return "written on the line; no supplier offers it"
        if offer.cost == line.unit_cost:
            return f"{offer.supplier}, price of {day(offer.price_date)}"
        now = (
            f"{offer.supplier} now asks {self.money(offer.cost)}, price of {day(offer.price_date)}"
        )
        then = PriceChange.objects.filter(offer__part=line.part_id, cost=line.unit_cost)
        change = then.select_related("offer__supplier").first()
        if change is None:
            return f"kept on the line; {now}"
        return f"{change.offer.supplier}, price of {day(change.price_date)}; {now}"

    def _labour(self) -> Iterator[Step]:
        line, row = self.line, self.row
        conditions = Condition.objects.filter(pk__in=line.condition_ids)
        factors = [
            f"{quantity_text(line.standard_h, 2)} h",
            *([self.quantity] * (row.quantity != 1)),
        ]
        names = [str(condition) for condition in conditions]
        how = " × ".join([*factors, quantity_text(line.multiplier, 3)] if names else factors)
        hours = f"{quantity_text(row.hours, 2)} h"
        said = ", ".join(names) or "no conditions"
        yield Step("Hours", f"standard time {how}", hours, f"conditions: {said}" if names else said)
        if line.trade_id is None:
            yield Step("Labour", "no trade, so no rate", self.money(self.own.labour), "")
            return
        rate = f"{hours} × {self.money(row.labour_sell_per_h)} per h"
        source = f"rate of {line.trade_name}; costs us {self.money(row.labour_cost_per_h)} per h"
        yield Step("Labour", rate, self.money(self.own.labour), source)

    def _by_hand(self, override: Decimal) -> Iterator[Step]:
        computed = own_price(replace(self.row, sell_override=None))
        otherwise = "" if self.row.is_kit else f"; computed: {self.money(computed.price_each)} each"
        yield Step(
            "Price each, set by hand",
            "takes the place of what is computed" + otherwise,
            self.money(override),
            f"reason: {self.line.override_reason}",
        )

    def _whole(self) -> Iterator[Step]:
        priced = self.priced
        yield Step("Price", self._price_how(), self.money(priced.net), self._counts())
        how = f"material {self.money(priced.material_cost)} + work {self.money(priced.labour_cost)}"
        yield Step("Cost", how, self.money(priced.cost), "")
        margin = f"price {self.money(priced.net)} less cost {self.money(priced.cost)}"
        yield Step("Margin", margin, self.money(priced.margin), "")
        if priced.margin_pct is not None:
            how = f"{self.money(priced.margin)} of {self.money(priced.net)}"
            yield Step("Margin, share of the price", how, percent_text(priced.margin_pct), "")
        if priced.mark_up_pct is not None:
            how = f"{self.money(priced.margin)} on {self.money(priced.cost)}"
            yield Step("Mark-up, share of the cost", how, percent_text(priced.mark_up_pct), "")

    def _price_how(self) -> str:
        if self.row.sell_override is not None:
            return f"{self.quantity} × {self.money(self.row.sell_override)}"
        if self.row.is_kit:
            return "the lines below it"
        if self.row.hours:
            return (
                f"material {self.money(self.own.material)} + labour {self.money(self.own.labour)}"
            )
        return f"{self.quantity} × {self.money(self.own.sell_each)}"

    def _counts(self) -> str:
        if self.priced.is_inside_overridden:
            return "not charged: the price of what it stands in is set by hand"
        return (
            "ex VAT" if self.priced.is_counted else "ex VAT; option not taken, so not in the total"
        )


def day(of: date) -> str:
    return date_format(of, "j M Y")
