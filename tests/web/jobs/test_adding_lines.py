"""Adding from the catalogue and by hand, copying, and costs of today."""

from decimal import Decimal
from typing import Any

import pytest
from bs4 import BeautifulSoup
from django.test import Client
from django.urls import reverse

from fitout.jobs import figures, sheet
from fitout.jobs.models import Job, Line
from fitout.jobs.offer import split_quantity
from fitout.kit.models import User
from tests.factories.jobs import (
    make_job,
    make_kit,
    make_operation,
    make_part,
    make_supplier,
    make_trade,
    zone_of,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def nobody_above(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(figures, "_sources", {})


@pytest.fixture
def job(estimator: User) -> Job:
    return make_job(estimator)


def address(job: Job, name: str = "add", query: str = "") -> str:
    return reverse(f"jobs:{name}", args=[job.number]) + query


@pytest.mark.pure
@pytest.mark.parametrize(
    ("typed", "quantity", "words"),
    [
        ("2 deck flood", "2", "deck flood"),
        ("2.5m cable", "2.5", "m cable"),
        ("3 x wiper", "3", "wiper"),
        ("1,5 hose", "1.5", "hose"),
        ("12", "1", "12"),
        ("0 pump", "1", "0 pump"),
        ("deck flood", "1", "deck flood"),
        ("", "1", ""),
    ],
)
def test_number_in_front_is_the_quantity(typed: str, quantity: str, words: str) -> None:
    assert split_quantity(typed) == (Decimal(quantity), words)


def test_search_finds_parts_kits_and_operations_by_all_words(
    estimator_client: Client, job: Job
) -> None:
    make_part(code="DF-40", description="Deck flood, sealed")
    make_part(code="DX-1", description="Deck wash pump")
    make_kit(code="KIT-FLOOD").__class__.objects.filter(code="KIT-FLOOD").update(
        description="Deck floods, four"
    )
    make_operation(code="EL-FLOOD").__class__.objects.filter(code="EL-FLOOD").update(
        description="Fit a deck flood"
    )
    response = estimator_client.get(address(job, query="?q=2 deck flood&zone=DP"))
    soup = BeautifulSoup(response.content, "html.parser")
    found = {form.select_one(".code").get_text(): form for form in soup.select(".found-list form")}  # type: ignore[union-attr]
    assert set(found) == {"DF-40", "KIT-FLOOD", "EL-FLOOD"}
    quantity = found["DF-40"].select_one("[name=quantity]")
    assert quantity is not None
    assert quantity["value"] == "2"


def test_search_answers_a_keystroke_with_the_list_alone(estimator_client: Client, job: Job) -> None:
    make_part(code="DF-40", description="Deck flood, sealed")
    response = estimator_client.get(
        address(job, query="?q=flood&zone=DP"), HTTP_HX_REQUEST="true", HTTP_HX_TARGET="found-DP"
    )
    text = response.content.decode().strip()
    assert text.startswith('<div id="found-DP"')
    assert 'hx-target="#zone-DP"' in text


@pytest.mark.parametrize("asked", ["%00", "'; drop table x; --", "x" * 5000, "<b>", "%", "_"])
def test_search_bears_nonsense(estimator_client: Client, job: Job, asked: str) -> None:
    response = estimator_client.get(address(job), {"q": asked})
    assert response.status_code == 200
    assert "<b>" not in response.content.decode().partition("<main")[2].partition("</main")[
        0
    ].replace("<b>DP</b>", "")


@pytest.mark.parametrize("kind", ["part", "kit", "labour"])
def test_picked_item_is_added_and_the_zone_answers(
    estimator_client: Client, job: Job, kind: str
) -> None:
    makers: dict[str, Any] = {
        "part": make_part,
        "kit": lambda: make_kit((make_part(), "1")),
        "labour": make_operation,
    }
    item = makers[kind]()
    zone = zone_of(job, "DP")
    response = estimator_client.post(
        address(job),
        {"kind": kind, "item": item.pk, "zone": zone.pk, "quantity": "3"},
        HTTP_HX_REQUEST="true",
        HTTP_HX_TARGET="zone-DP",
    )
    assert response.status_code == 200
    text = response.content.decode().strip()
    assert text.startswith('<tbody class="zone" id="zone-DP"')
    assert "lines-changed" in response["HX-Trigger"]
    line = Line.objects.get(job=job, parent=None)
    assert (line.kind, line.quantity, line.zone) == (kind, Decimal(3), zone)


def written(job: Job, kind: str, **values: Any) -> dict[str, Any]:
    zone = zone_of(job, "WB")
    return {"kind": kind, "zone": zone.pk, "quantity": "1", "description": "Work", **values}


@pytest.mark.parametrize(
    ("kind", "more"),
    [("provisional", {"amount": "640"}), ("customer", {})],
)
def test_hours_of_a_written_line_need_a_trade_to_price_them(
    estimator_client: Client, job: Job, kind: str, more: dict[str, str]
) -> None:
    data = written(job, kind, standard_h="16", **more)
    response = estimator_client.post(address(job), data)
    assert response.status_code == 422
    text = response.content.decode()
    assert "Trade: say who does the 16\N{NO-BREAK SPACE}h, so that a rate prices them." in text
    assert not Line.objects.exists()
    trade = make_trade(code="mechanical")
    assert estimator_client.post(address(job), data | {"trade": trade.pk}).status_code == 303
    assert Line.objects.get().trade == trade


def test_a_supplied_part_brings_its_trade(estimator_client: Client, job: Job) -> None:
    part = make_part(code="EN-1")
    data = written(job, "customer", part_code="EN-1", standard_h="16")
    assert estimator_client.post(address(job), data).status_code == 303
    assert Line.objects.get().trade == part.trade


def test_written_lines_are_added_without_script(estimator_client: Client, job: Job) -> None:
    welder = make_supplier(name="Skua Welding", is_subcontractor=True)
    trade = make_trade(code="mechanical")
    part = make_part(code="EN-1", mass_kg="182")
    posts = [
        written(job, "subcontract", supplier=welder.pk, unit_cost="1.850,50"),
        written(job, "provisional", amount="640", trade=trade.pk, standard_h="12"),
        written(job, "customer", part_code="en-1", description="Engine of the customer"),
    ]
    for data in posts:
        assert estimator_client.post(address(job), data).status_code == 303
    lines = sheet.sheet_lines(job)
    assert [(x.kind, x.unit_cost) for x in lines] == [
        ("subcontract", Decimal("1850.50")),
        ("provisional", Decimal("640.00")),
        ("customer", Decimal("0.00")),
    ]
    assert lines[1].labour_h_total == 12
    assert (lines[2].part_id, lines[2].mass_kg_total) == (part.pk, Decimal(182))


@pytest.mark.parametrize(
    ("kind", "values", "message"),
    [
        ("subcontract", {"supplier": "", "unit_cost": "1"}, "Subcontractor: fill this in."),
        ("subcontract", {"unit_cost": "-1"}, "Cost each: 0\N{NO-BREAK SPACE}€ ex VAT at least."),
        ("provisional", {"amount": "lots"}, "Sum set aside: write a number"),
        ("provisional", {"amount": "5", "description": ""}, "Description: fill this in."),
        ("provisional", {"amount": "5", "zone": "999999"}, "Zone: choose one from the list."),
        ("provisional", {"amount": "5", "quantity": "0"}, "Quantity: 0.01 at least."),
        ("customer", {"part_code": "NO-SUCH"}, "Part code: there is no part NO-SUCH."),
        ("customer", {"mass_kg": "-2"}, "Mass each: 0\N{NO-BREAK SPACE}kg at least."),
        ("part", {"item": "999999"}, "Part: choose one from the list."),
        ("kit", {"item": "abc"}, "Kit: choose one from the list."),
        ("riddle", {}, "Kind of line: choose what to add."),
    ],
)
def test_bad_additions_are_told_and_nothing_is_added(
    estimator_client: Client, job: Job, kind: str, values: dict[str, str], message: str
) -> None:
    make_supplier(is_subcontractor=True)
    response = estimator_client.post(address(job), written(job, kind, **values))
    assert response.status_code == 422
    assert message in response.content.decode()
    assert not job.lines.exists()


def test_refused_pick_is_shown_where_it_was_typed(estimator_client: Client, job: Job) -> None:
    part, zone = make_part(), zone_of(job, "DP")
    response = estimator_client.post(
        address(job),
        {"kind": "part", "item": part.pk, "zone": zone.pk, "quantity": "-1"},
        HTTP_HX_REQUEST="true",
        HTTP_HX_TARGET="zone-DP",
    )
    assert response.status_code == 422
    assert response["HX-Retarget"] == "#found-DP"
    soup = BeautifulSoup(response.content, "html.parser")
    assert soup.select_one("[name=quantity]")["value"] == "-1"  # type: ignore[index]
    assert "Quantity: 0.01 at least." in soup.get_text()


def test_zone_of_another_job_is_refused(
    estimator_client: Client, job: Job, estimator: User
) -> None:
    other = zone_of(make_job(estimator), "DP")
    data = {"kind": "part", "item": make_part().pk, "zone": other.pk, "quantity": "1"}
    response = estimator_client.post(address(job), data)
    assert response.status_code == 422
    assert "Zone: choose one from the list." in response.content.decode()


def test_same_form_sent_twice_adds_one_line(estimator_client: Client, job: Job) -> None:
    data = {**written(job, "provisional", amount="5"), "once": "abcdefghijklmnopqrstuvwx"}
    first, second = (estimator_client.post(address(job), data) for _ in range(2))
    assert first.status_code == second.status_code == 303
    assert job.lines.count() == 1


def test_copying_from_another_job_page_by_page(
    estimator_client: Client, job: Job, estimator: User
) -> None:
    source = make_job(estimator)
    sheet.add_part(source, zone_of(source, "HM"), make_part(), by=estimator)
    sheet.add_part(source, zone_of(source, "DP"), make_part(), by=estimator)
    first = estimator_client.get(address(job, "copy")).content.decode()
    assert f"?from={source.number}" in first
    second = BeautifulSoup(
        estimator_client.get(address(job, "copy", f"?from={source.number}")).content, "html.parser"
    )
    fields = {
        str(select["name"]): str(select.select_one("option[selected]")["value"])  # type: ignore[index]
        for select in second.select("main select")
    }
    fields[f"zone_{zone_of(source, 'DP').pk}"] = ""
    response = estimator_client.post(address(job, "copy"), {"from": source.number, **fields})
    assert response.status_code == 303
    assert [line.zone_code for line in sheet.sheet_lines(job)] == ["HM"]


@pytest.mark.parametrize("asked", ["", "abc", "99999", "-1"])
def test_copying_from_a_job_that_is_not_there(
    estimator_client: Client, job: Job, asked: str
) -> None:
    response = estimator_client.post(address(job, "copy"), {"from": asked})
    assert response.status_code == 422
    assert "Copy from: choose a job from the list." in response.content.decode()


def test_costs_of_today_are_shown_then_taken(
    estimator_client: Client, job: Job, estimator: User
) -> None:
    part = make_part(code="DF-40", cost="74.00")
    sheet.add_part(job, zone_of(job, "DP"), part, by=estimator)
    offer = part.offers.get()
    offer.cost = Decimal("81.30")
    offer.save()
    text = estimator_client.get(address(job, "refresh")).content.decode()
    assert "€74.00" in text
    assert "€81.30" in text
    assert estimator_client.post(address(job, "refresh")).status_code == 303
    assert Line.objects.get(job=job).unit_cost == Decimal("81.30")
