"""Lines changed from the page: good input, bad input by field, stale versions, fragments."""

import json
from decimal import Decimal
from typing import Any

import pytest
from bs4 import BeautifulSoup
from django.test import Client
from django.urls import reverse

from fitout.jobs import figures, sheet
from fitout.jobs.models import Job, Line
from fitout.kit.models import AuditEntry, User
from tests.factories.jobs import (
    make_condition,
    make_job,
    make_kit,
    make_operation,
    make_part,
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


@pytest.fixture
def line(job: Job, estimator: User) -> Line:
    part = make_part(cost="74.00", description="Deck flood")
    return sheet.add_part(job, zone_of(job, "DP"), part, by=estimator)


def address(line: Line, name: str = "line") -> str:
    return reverse(f"jobs:{name}", args=[line.job.number, line.pk])


def data_of(line: Line, **changes: Any) -> dict[str, Any]:
    return {
        "version": line.version,
        "quantity": "1",
        "description": line.description,
        "choice": "included",
        "sell_override": "",
        "override_reason": "",
        "standard_h": "0",
        "x_m": "",
        "y_m": "",
        "z_m": "",
        "note": "",
        **changes,
    }


def htmx(target: str) -> dict[str, str]:
    return {"HX-Request": "true", "HX-Target": target}


def test_decimal_comma_is_understood(estimator_client: Client, line: Line) -> None:
    response = estimator_client.post(address(line), data_of(line, quantity="2,5"))
    assert response.status_code == 303
    assert Line.objects.get(pk=line.pk).quantity == Decimal("2.5")


@pytest.mark.parametrize(
    ("field", "typed", "message"),
    [
        ("quantity", "0", "Quantity: 0.01\N{NO-BREAK SPACE}pc at least."),
        ("quantity", "-3", "Quantity: 0.01\N{NO-BREAK SPACE}pc at least."),
        ("quantity", "", "Quantity: fill this in."),
        ("quantity", "many", "Quantity: write a number, such as 12.5\N{NO-BREAK SPACE}pc."),
        ("quantity", "1000000", "Quantity: 100\u202f000\N{NO-BREAK SPACE}pc at most."),
        ("quantity", "1.234", "Quantity: at most 2 decimals."),
        ("quantity", "9" * 60, "Quantity: write a number, such as 12.5\N{NO-BREAK SPACE}pc."),
        ("standard_h", "5001", "Standard time each: 5\u202f000\N{NO-BREAK SPACE}h at most."),
        ("sell_override", "-1", "Price each, set by hand: 0\N{NO-BREAK SPACE}€ ex VAT at least."),
        ("sell_override", "90", "Reason for the price: say why the price is set by hand."),
        ("description", "", "Description: fill this in."),
        ("description", "x" * 201, "Description: 200 characters at most, not 201."),
        (
            "description",
            "a\x07b",
            "Description: holds a control character (U+0007); type it again without.",
        ),
        (
            "description",
            "a\u202eb",
            "Description: holds a hidden text-direction mark (U+202E); type it again without.",
        ),
        ("choice", "perhaps", "Choice: choose one from the list."),
        ("conditions", "99999", "Conditions: choose one from the list."),
        ("x_m", "3", "Place y: give x, y and z, or none of them."),
    ],
)
def test_bad_input_is_told_at_the_field_and_kept(
    estimator_client: Client, line: Line, field: str, typed: str, message: str
) -> None:
    response = estimator_client.post(address(line), data_of(line, **{field: typed}))
    assert response.status_code == 422
    soup = BeautifulSoup(response.content, "html.parser")
    assert message in soup.get_text().replace("\n", " ")
    shown = soup.select_one(f'[name="{field}"]')
    if shown is not None and shown.name == "input" and shown.get("type") == "text":
        assert shown.get("value", "") == typed
    after = Line.objects.get(pk=line.pk)
    assert (after.quantity, after.version) == (Decimal(1), 1)
    assert after.description == "Deck flood"


def test_place_outside_the_zone_names_the_limits(estimator_client: Client, line: Line) -> None:
    response = estimator_client.post(address(line), data_of(line, x_m="1", y_m="0", z_m="1"))
    assert response.status_code == 422
    assert "DP runs from 4.08\N{NO-BREAK SPACE}m to 7.18\N{NO-BREAK SPACE}m." in (
        response.content.decode()
    )


def test_stale_version_shows_what_is_stored_and_keeps_what_was_typed(
    estimator_client: Client, owner: User, line: Line
) -> None:
    other = Line.objects.get(pk=line.pk)
    sheet.edit(other, by=owner, version=1, quantity=Decimal(4))
    response = estimator_client.post(address(line), data_of(line, quantity="9"))
    text = response.content.decode()
    assert response.status_code in (409, 422)
    assert f"{owner} changed this while you were typing" in text
    assert "stored now is “4.00”" in text
    soup = BeautifulSoup(text, "html.parser")
    assert soup.select_one('[name="quantity"]')["value"] == "9"  # type: ignore[index]
    assert Line.objects.get(pk=line.pk).quantity == 4
    again = data_of(line, quantity="9") | {
        "version": soup.select_one('[name="version"]')["value"]  # type: ignore[index]
    }
    assert estimator_client.post(address(line), again).status_code == 303
    assert Line.objects.get(pk=line.pk).quantity == 9


def test_conditions_and_place_are_saved(estimator_client: Client, line: Line) -> None:
    condition = make_condition(multiplier="1.30")
    data = data_of(line, conditions=[condition.pk], x_m="5", y_m="0.5", z_m="1.25", standard_h="2")
    assert estimator_client.post(address(line), data).status_code == 303
    saved = sheet.sheet_lines(line.job)[0]
    assert (saved.x_m, saved.labour_h_total) == (Decimal(5), Decimal("2.6"))


def test_edit_row_and_saved_row_are_fragments(estimator_client: Client, line: Line) -> None:
    target = htmx(f"line-{line.pk}")
    row = estimator_client.get(address(line), headers=target).content.decode().strip()
    assert row.startswith("<tr")
    assert "<html" not in row
    response = estimator_client.post(address(line), data_of(line, quantity="3"), headers=target)
    text = response.content.decode().strip()
    assert text.startswith("<tr")
    assert "<html" not in text
    soup = BeautifulSoup(text, "html.parser")
    assert soup.select_one(f"#line-{line.pk} .qty").get_text() == "3"  # type: ignore[union-attr]
    assert {e["id"] for e in soup.find_all(True, attrs={"hx-swap-oob": True})} == {"head-DP"}
    assert "lines-changed" in response["HX-Trigger"]
    refused = estimator_client.post(address(line), data_of(line, quantity="0"), headers=target)
    assert refused.status_code == 422
    assert refused.content.decode().strip().startswith("<tr")


def test_the_page_then_asks_for_the_plan_with_the_sums_of_the_job(
    estimator_client: Client, line: Line
) -> None:
    page = reverse("jobs:sheet", args=[line.job.number])
    whole = BeautifulSoup(estimator_client.get(page).content, "html.parser")
    band = whole.select_one("#band")
    assert band is not None
    assert (band["hx-get"], band["hx-trigger"]) == (page, "lines-changed from:body")
    text = estimator_client.get(page, headers=htmx("band")).content.decode()
    sums = BeautifulSoup(text, "html.parser").find(id="sheet-totals")
    assert sums is not None
    assert sums["hx-swap-oob"] == "true"


def test_undo_of_an_edit_puts_the_line_back_and_wakes_the_page(
    estimator_client: Client, line: Line
) -> None:
    estimator_client.post(address(line), data_of(line, quantity="3"))
    entry = AuditEntry.objects.in_scope(line.job.scope).order_by("-pk")[0]
    undo = reverse("kit:undo", args=[entry.pk])
    undone = estimator_client.post(undo, headers=htmx("messages"))
    assert undone.status_code == 200
    assert {"undone", "lines-changed"} <= set(json.loads(undone["HX-Trigger"]))
    assert Line.objects.get(pk=line.pk).quantity == 1


def test_choice_goes_round_from_included_to_option_to_taken(
    estimator_client: Client, line: Line
) -> None:
    seen = []
    for _ in range(3):
        estimator_client.post(address(line, "line_choice"))
        stored = Line.objects.get(pk=line.pk)
        seen.append((stored.choice, stored.taken))
    assert seen == [("option", False), ("option", True), ("included", False)]


def test_kit_opens_and_closes_as_rows(estimator_client: Client, job: Job, estimator: User) -> None:
    kit = sheet.add_kit(
        job, zone_of(job, "HM"), make_kit((make_part(), "2"), (make_operation(), "1")), by=estimator
    )
    target = htmx(f"line-{kit.pk}")
    opened = BeautifulSoup(
        estimator_client.get(address(kit, "line_kit") + "?open=1", headers=target).content,
        "html.parser",
    )
    assert [row["data-line"] for row in opened.select("tr[data-line]")] == [
        "HM-01",
        "HM-01.1",
        "HM-01.2",
    ]
    closed = BeautifulSoup(
        estimator_client.get(address(kit, "line_kit"), headers=target).content, "html.parser"
    )
    assert len(closed.select('tr[hx-swap-oob="delete"]')) == 2


def test_line_inside_a_kit_is_edited_in_its_row(
    estimator_client: Client, job: Job, estimator: User
) -> None:
    kit = sheet.add_kit(job, zone_of(job, "HM"), make_kit((make_part(), "2")), by=estimator)
    child = Line.objects.get(parent=kit)
    target = htmx(f"line-{child.pk}")
    data = {**data_of(child, quantity="5"), "choice": ""}
    response = estimator_client.post(address(child), data, headers=target)
    assert response.status_code == 200
    assert f'id="line-{child.pk}"' in response.content.decode()
    assert Line.objects.get(pk=child.pk).quantity == 5


def test_moving_up_and_to_a_zone(
    estimator_client: Client, job: Job, line: Line, estimator: User
) -> None:
    second = sheet.add_part(job, zone_of(job, "DP"), make_part(description="Second"), by=estimator)
    estimator_client.post(address(second, "line_move"), {"to": "up"})
    assert [x.description for x in sheet.sheet_lines(job)] == ["Second", "Deck flood"]
    helm = zone_of(job, "HM")
    estimator_client.post(address(second, "line_move"), {"to": "zone", "zone": helm.pk})
    assert Line.objects.get(pk=second.pk).zone == helm


@pytest.mark.parametrize(
    ("data", "message"),
    [
        ({"to": "zone"}, "Zone: choose the zone to move to."),
        ({"to": "sideways"}, "Move: choose one from the list."),
        ({"to": "zone", "zone": "987654"}, "Zone: choose one from the list."),
    ],
)
def test_bad_moves_are_told(
    estimator_client: Client, line: Line, data: dict[str, str], message: str
) -> None:
    response = estimator_client.post(address(line, "line_move"), data)
    assert response.status_code == 422
    assert message in response.content.decode()


def test_a_bad_move_from_the_sheet_answers_the_row_in_hand(
    estimator_client: Client, line: Line
) -> None:
    response = estimator_client.post(
        address(line, "line_move"), {"to": "zone"}, headers=htmx("lines")
    )
    assert response.status_code == 422
    assert response.headers["HX-Retarget"] == f"#line-{line.pk}"
    soup = BeautifulSoup(response.content, "html.parser")
    assert soup.find("html") is None
    assert soup.select_one(f"tr#line-{line.pk}[data-edit] select[name=zone][aria-invalid=true]")
    assert "Zone: choose the zone to move to." in response.content.decode()


def test_a_line_that_was_moved_is_marked_for_the_hand(estimator_client: Client, line: Line) -> None:
    helm = zone_of(line.job, "HM")
    data = {"to": "zone", "zone": helm.pk}
    response = estimator_client.post(address(line, "line_move"), data, headers=htmx("lines"))
    soup = BeautifulSoup(response.content, "html.parser")
    assert [row["id"] for row in soup.select("tr[data-moved]")] == [f"line-{line.pk}"]
    plain = estimator_client.post(address(line, "line_move"), {"to": "up"})
    assert plain.headers["Location"].endswith(f"#line-{line.pk}")


def test_the_page_of_a_line_sends_its_forms_itself(estimator_client: Client, line: Line) -> None:
    """It holds no rows, so a fragment would have no place there."""
    page = BeautifulSoup(estimator_client.get(address(line)).content, "html.parser")
    own = [form for form in page.select("main form") if "/lines/" in str(form["action"])]
    assert len(own) == 3
    assert not page.select("main [hx-target]")
    target = htmx(f"line-{line.pk}")
    row = BeautifulSoup(estimator_client.get(address(line), headers=target).content, "html.parser")
    assert len(row.select("form[hx-target]")) == 3


def test_removing_answers_with_the_lines_that_are_left(
    estimator_client: Client, line: Line
) -> None:
    response = estimator_client.post(address(line, "line_remove"), headers=htmx("lines"))
    assert response.status_code == 200
    soup = BeautifulSoup(response.content, "html.parser")
    assert soup.select_one("#lines") is not None
    assert not soup.select("tr[data-line]")
    assert "DP-01 Deck flood is removed." in response.content.decode()


@pytest.mark.parametrize("name", ["line", "line_choice", "line_move", "line_remove"])
def test_technician_may_not_change_lines(
    technician_client: Client, estimator: User, name: str
) -> None:
    job = make_job(estimator, stage="in_build")
    line = sheet.add_part(job, zone_of(job, "DP"), make_part(), by=estimator)
    response = technician_client.post(address(line, name), data_of(line, to="up", quantity="7"))
    assert response.status_code == 403
    assert Line.objects.get(pk=line.pk).version == 1


def test_nobody_changes_the_sheet_of_a_handed_over_job(
    owner_client: Client, estimator: User
) -> None:
    job = make_job(estimator, stage="in_build")
    line = sheet.add_part(job, zone_of(job, "DP"), make_part(), by=estimator)
    Job.objects.filter(pk=job.pk).update(stage="handed_over")
    response = owner_client.post(address(line), data_of(line, quantity="7"))
    assert response.status_code == 403
    assert Line.objects.get(pk=line.pk).quantity == 1


def test_line_of_another_job_is_not_found(
    estimator_client: Client, line: Line, estimator: User
) -> None:
    other = make_job(estimator)
    wrong = reverse("jobs:line", args=[other.number, line.pk])
    assert estimator_client.post(wrong, data_of(line)).status_code == 404


def test_the_trade_of_a_supplied_item_is_chosen_on_its_line(
    estimator_client: Client, estimator: User, job: Job
) -> None:
    line = sheet.add_customer_supplied(
        job, zone_of(job, "DP"), description="Diesel engine", by=estimator
    )
    refused = estimator_client.post(address(line), data_of(line, standard_h="16", trade=""))
    assert refused.status_code == 422
    assert "Trade: say who does the 16" in refused.content.decode()
    trade = make_trade(code="mechanical")
    data = data_of(line, standard_h="16", trade=trade.pk)
    assert estimator_client.post(address(line), data).status_code == 303
    assert Line.objects.get(pk=line.pk).trade == trade
