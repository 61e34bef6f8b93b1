"""Mark-up, labour, kits, options, overrides and discount on hand-calculated sheets."""

from dataclasses import replace
from decimal import Decimal

import pytest

from quotes.pricing import SheetRow, TaxKey, price_job, split_by_shares

VAT = TaxKey(category_code="S", rate_pct=Decimal(23))
ZERO_RATE = TaxKey(category_code="Z", rate_pct=Decimal(0))
BASE = SheetRow(
    id=1,
    parent_id=None,
    is_kit=False,
    is_counted=True,
    quantity=Decimal(1),
    unit_cost=Decimal(0),
    mark_up_pct=Decimal(0),
    hours=Decimal(0),
    labour_cost_per_h=Decimal(30),
    labour_sell_per_h=Decimal(60),
    sell_override=None,
    tax=VAT,
)
PUMP = replace(BASE, quantity=Decimal(2), unit_cost=Decimal("41.35"), mark_up_pct=Decimal(35))


def test_sell_price_is_cost_with_mark_up_rounded_each() -> None:
    line = price_job([PUMP]).lines[1]
    # 41.35 × 1.35 = 55.8225, printed as 55.82 each; two are 111.64
    assert (line.price_each, line.net, line.cost) == (
        Decimal("55.82"),
        Decimal("111.64"),
        Decimal("82.70"),
    )


def test_mark_up_and_margin_are_different_figures() -> None:
    price = price_job([replace(BASE, unit_cost=Decimal(100), mark_up_pct=Decimal(50))])
    assert (price.mark_up_pct, price.margin_pct) == (Decimal("50.0"), Decimal("33.3"))


def test_labour_is_hours_times_rate() -> None:
    line = price_job([replace(BASE, hours=Decimal("2.75"))]).lines[1]
    assert (line.net, line.labour_cost) == (Decimal("165.00"), Decimal("82.50"))


def test_kit_is_the_sum_of_what_is_below_it_at_any_depth() -> None:
    kit = replace(BASE, id=1, is_kit=True)
    inner = replace(BASE, id=2, parent_id=1, is_kit=True)
    part = replace(PUMP, id=3, parent_id=2)
    work = replace(BASE, id=4, parent_id=1, hours=Decimal(1))
    price = price_job([work, part, inner, kit])
    assert price.lines[1].net == Decimal("111.64") + Decimal("60.00")
    assert price.lines[1].cost == Decimal("82.70") + Decimal("30.00")
    assert price.net == price.lines[1].net


def test_price_set_on_a_kit_replaces_its_content_but_not_its_cost() -> None:
    kit = replace(BASE, id=1, is_kit=True, sell_override=Decimal(150), tax=ZERO_RATE)
    price = price_job([kit, replace(PUMP, id=2, parent_id=1)])
    assert (price.net, price.cost, price.tax) == (Decimal(150), Decimal("82.70"), Decimal(0))
    assert price.lines[2].is_inside_overridden


def test_option_not_taken_is_priced_but_not_counted() -> None:
    option = replace(PUMP, is_counted=False)
    price = price_job([option, replace(BASE, id=2, unit_cost=Decimal(10))])
    assert (price.net, price.options_net) == (Decimal(10), Decimal("111.64"))


def test_discount_lowers_each_tax_group_by_its_share() -> None:
    rows = [
        replace(BASE, id=1, unit_cost=Decimal(1000)),
        replace(BASE, id=2, unit_cost=Decimal(500), tax=ZERO_RATE),
    ]
    price = price_job(rows, discount_pct=Decimal(10))
    assert [row.taxable for row in price.tax_rows] == [Decimal(900), Decimal(450)]
    assert (price.discount_total, price.tax, price.gross) == (
        Decimal(150),
        Decimal(207),
        Decimal(1557),
    )


def test_last_payment_stage_takes_the_odd_cents() -> None:
    shares = [Decimal("33.33"), Decimal("33.33"), Decimal("33.34")]
    parts = split_by_shares(Decimal("100.01"), shares)
    assert parts == (Decimal("33.33"), Decimal("33.33"), Decimal("33.35"))
    assert sum(parts) == Decimal("100.01")


def test_payment_stages_must_sum_to_100_percent() -> None:
    with pytest.raises(ValueError, match=r"Payment stages: 90 % in all; 100 % needed\."):
        split_by_shares(Decimal(100), [Decimal(50), Decimal(40)])
