"""Totals, tax by group and rounding against published example invoices (EN 16931)."""

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from quotes.pricing import SheetRow, TaxKey, price_job

CASES = tomllib.loads((Path(__file__).parent / "cases" / "en16931.toml").read_text())["case"]


def row(number: int, *, amount: Decimal, tax: TaxKey, quantity: Decimal = Decimal(1)) -> SheetRow:
    return SheetRow(
        id=number,
        parent_id=None,
        is_kit=False,
        is_counted=True,
        quantity=quantity,
        unit_cost=Decimal(0),
        mark_up_pct=Decimal(0),
        hours=Decimal(0),
        labour_cost_per_h=Decimal(0),
        labour_sell_per_h=Decimal(0),
        sell_override=amount,
        tax=tax,
    )


def group_rows(case: dict[str, Any]) -> list[SheetRow]:
    return [
        row(
            index,
            amount=Decimal(group["lines"]),
            tax=TaxKey(category_code=group["category"], rate_pct=Decimal(group["rate_pct"])),
        )
        for index, group in enumerate(case["groups"])
    ]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["source"].split(":")[0])
class TestPublishedInvoices:
    def test_tax_of_each_group_is_the_printed_one(self, case: dict[str, Any]) -> None:
        price = price_job(group_rows(case), discount_pct=Decimal(case["discount_pct"]))
        got = {(r.category_code, r.rate_pct): (r.taxable, r.tax) for r in price.tax_rows}
        assert got == {
            (g["category"], Decimal(g["rate_pct"])): (Decimal(g["taxable"]), Decimal(g["tax"]))
            for g in case["groups"]
        }

    def test_totals_are_the_printed_ones(self, case: dict[str, Any]) -> None:
        price = price_job(group_rows(case), discount_pct=Decimal(case["discount_pct"]))
        assert (price.lines_total, price.net, price.tax, price.gross) == tuple(
            Decimal(case[key]) for key in ("lines_total", "net", "tax", "gross")
        )

    def test_line_amounts_are_the_printed_ones(self, case: dict[str, Any]) -> None:
        tax = TaxKey(category_code="S", rate_pct=Decimal(0))
        for line in case["line_amounts"]:
            price = price_job(
                [row(1, amount=Decimal(line["price"]), tax=tax, quantity=Decimal(line["quantity"]))]
            )
            assert price.lines[1].net == Decimal(line["amount"])
