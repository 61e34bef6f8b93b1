"""A line's form tells how its price is worked out, in pricing's own figures."""

from datetime import date
from decimal import Decimal

import pytest
from bs4 import BeautifulSoup
from django.test import Client
from django.urls import reverse

from catalogue.models import SupplierPart
from fitout.jobs import figures, sheet
from fitout.jobs.models import Job, Line
from fitout.jobs.sheet import Details
from fitout.kit.models import User
from quotes.models import MarkUp
from quotes.sheet_rows import priced_sheet
from tests.factories.jobs import (
    make_condition,
    make_job,
    make_kit,
    make_operation,
    make_part,
    make_supplier,
    make_trade,
    zone_of,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(estimator: User) -> Job:
    MarkUp.objects.all().delete()
    MarkUp.objects.create(category="lighting", mark_up_pct=Decimal(35))
    MarkUp.objects.create(category="", mark_up_pct=Decimal(25))
    return make_job(estimator)


def steps_of(line: Line) -> dict[str, figures.Step]:
    return {step.name: step for step in figures.explain_price(line.job, line.pk)}


def test_a_part_tells_supplier_price_date_and_mark_up(job: Job, estimator: User) -> None:
    part = make_part(cost="41.35", category="lighting")
    line = sheet.add_part(
        job, zone_of(job, "DP"), part, by=estimator, details=Details(quantity=Decimal(2))
    )
    steps = steps_of(line)
    assert steps["Cost each"].result == "€41.35"
    assert steps["Cost each"].source.endswith(", price of 2 Mar 2026")
    assert steps["Sell price each"].how == "€41.35 × (1 + mark-up 35\N{NO-BREAK SPACE}%)"
    assert steps["Sell price each"].source == "Mark-up of Lighting"
    assert steps["Price"].result == "€111.64"
    assert steps["Price"].result == f"€{priced_sheet(job).price.net}"
    assert steps["Margin, share of the price"].result == "25.9\N{NO-BREAK SPACE}%"
    assert steps["Mark-up, share of the cost"].result == "35\N{NO-BREAK SPACE}%"


def test_a_cost_kept_from_before_tells_its_date_and_what_is_asked_now(
    job: Job, estimator: User
) -> None:
    part = make_part(cost="10.00")
    line = sheet.add_part(job, zone_of(job, "DP"), part, by=estimator)
    SupplierPart.objects.filter(part=part).update(
        cost=Decimal("12.00"), price_date=date(2026, 5, 4)
    )
    source = steps_of(line)["Cost each"].source
    assert "price of 2 Mar 2026; " in source
    assert source.endswith("now asks €12.00, price of 4 May 2026")


def test_work_tells_hours_conditions_and_rate(job: Job, estimator: User) -> None:
    awkward = make_condition(multiplier="1.50", name="Awkward access")
    operation = make_operation(standard_h="2.00", trade=make_trade(sell_per_h="58"))
    details = Details(quantity=Decimal(3), conditions=(awkward,))
    line = sheet.add_labour(job, zone_of(job, "DP"), operation, by=estimator, details=details)
    steps = steps_of(line)
    assert steps["Hours"].how == "standard time 2 h × 3 × 1.5"
    assert steps["Hours"].source == "conditions: Awkward access ×1.5"
    assert (steps["Labour"].how, steps["Labour"].result) == ("9 h × €58.00 per h", "€522.00")
    assert "Cost each" not in steps


def test_a_price_set_by_hand_stands_beside_the_computed_one(job: Job, estimator: User) -> None:
    line = sheet.add_part(job, zone_of(job, "DP"), make_part(cost="100"), by=estimator)
    sheet.edit(
        line,
        by=estimator,
        version=line.version,
        sell_override=Decimal("110"),
        override_reason="Agreed on the phone",
    )
    step = steps_of(line)["Price each, set by hand"]
    assert step.result == "€110.00"
    assert step.how.endswith("computed: €125.00 each")
    assert step.source == "reason: Agreed on the phone"


def test_a_kit_is_the_sum_of_what_is_below_it(job: Job, estimator: User) -> None:
    kit = make_kit((make_part(cost="8.00"), "2"), (make_part(cost="4.00"), "1"))
    line = sheet.add_kit(job, zone_of(job, "DP"), kit, by=estimator)
    assert steps_of(line)["The 2 lines below it"].result == "€25.00"


def test_hours_without_a_trade_say_that_no_rate_prices_them(job: Job, estimator: User) -> None:
    line = sheet.add_subcontract(
        job,
        zone_of(job, "DP"),
        make_supplier(is_subcontractor=True),
        description="Welding",
        unit_cost=Decimal("100"),
        by=estimator,
        details=Details(standard_h=Decimal(4)),
    )
    steps = steps_of(line)
    assert (steps["Labour"].how, steps["Labour"].result) == ("no trade, so no rate", "€0.00")
    assert steps["Sell price each"].source == "Mark-up on subcontract, terms of this job"


def test_the_form_holds_the_steps_folded(
    job: Job, estimator: User, estimator_client: Client
) -> None:
    line = sheet.add_part(job, zone_of(job, "DP"), make_part(cost="8.00"), by=estimator)
    page = estimator_client.get(reverse("jobs:line", args=[job.number, line.pk]))
    fold = BeautifulSoup(page.content, "html.parser").select_one("details.fold")
    assert fold is not None
    assert "How the price is worked out" in fold.get_text()
    assert not fold.has_attr("open")
    assert "€8.00 × (1 + mark-up 25" in fold.get_text()
