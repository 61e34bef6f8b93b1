"""The build sheet as each role sees it, in a number of queries that does not grow."""

from collections.abc import Sequence
from decimal import Decimal

import pytest
from bs4 import BeautifulSoup
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from fitout.jobs import figures, sheet
from fitout.jobs.models import Job, Line
from fitout.kit.models import User
from tests.factories.jobs import (
    make_customer,
    make_job,
    make_kit,
    make_operation,
    make_part,
    make_vessel,
    zone_of,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def nobody_above(monkeypatch: pytest.MonkeyPatch) -> None:
    """The sheet alone, without prices, follow-up and circuits from the apps above."""
    monkeypatch.setattr(figures, "_sources", {})


@pytest.fixture
def job(estimator: User) -> Job:
    job = make_job(estimator, stage="in_build")
    part = make_part(code="DF-40", cost="417.35", description="Deck flood")
    sheet.add_part(job, zone_of(job, "DP"), part, by=estimator)
    kit = make_kit((make_part(cost="8.15"), "2"), (make_operation(standard_h="1.50"), "1"))
    sheet.add_kit(
        job, zone_of(job, "HM"), kit, by=estimator, details=sheet.Details(quantity=Decimal(3))
    )
    return job


def url(job: Job, query: str = "") -> str:
    return reverse("jobs:sheet", args=[job.number]) + query


def soup_of(client: Client, address: str) -> BeautifulSoup:
    response = client.get(address)
    assert response.status_code == 200
    return BeautifulSoup(response.content, "html.parser")


def cells(soup: BeautifulSoup, code: str) -> dict[str, str]:
    row = soup.select_one(f'tr[data-line="{code}"]')
    assert row is not None, code
    return {td["class"][0]: td.get_text(" ", strip=True) for td in row.find_all("td")}


def test_estimator_sees_cost_hours_and_mass_of_a_kit_with_what_it_holds(
    estimator_client: Client, job: Job
) -> None:
    soup = soup_of(estimator_client, url(job))
    row = cells(soup, "HM-01")
    # three kits, each with two parts at 8.15 and 1.5 h; cost each is of one kit
    assert (row["cost"], row["labour"], row["mass"]) == ("16.30", "4.5", "6.0")
    assert cells(soup, "DP-01")["cost"] == "417.35"
    assert soup.select_one("#line-none") is None
    totals = soup.select_one("#sheet-totals")
    assert totals is not None
    # 417.35 + 6 × 8.15 + 4.5 h at 32
    assert "€610.25" in totals.get_text()


def test_technician_sees_the_sheet_without_money_or_buttons(
    technician_client: Client, job: Job
) -> None:
    response = technician_client.get(url(job))
    text = response.content.decode()
    assert "Deck flood" in text
    for leak in ("417.35", "16.30", "610.25", "€", "Cost", "Price", "cost ex"):
        assert leak not in text
    soup = BeautifulSoup(text, "html.parser")
    assert cells(soup, "HM-01")["labour"] == "4.5"
    main = soup.select_one("main")
    assert main is not None
    assert not main.select("form, [hx-post], [data-act=edit], input")


@pytest.mark.parametrize("stage", ["enquiry", "quoted", "closed", "lost"])
def test_technician_does_not_know_of_jobs_outside_the_workshop(
    technician_client: Client, estimator: User, stage: str
) -> None:
    job = make_job(estimator, stage=stage)
    for name in ("jobs:sheet", "jobs:hull"):
        response = technician_client.get(reverse(name, args=[job.number]))
        assert response.status_code == 404


def test_visitor_is_sent_to_sign_in(anonymous_client: Client, job: Job) -> None:
    response = anonymous_client.get(url(job))
    assert response.status_code in (302, 303)
    assert reverse("kit:sign_in") in response["Location"]


def test_unknown_job_is_not_found(estimator_client: Client) -> None:
    assert estimator_client.get("/jobs/99999/").status_code == 404


def test_zone_in_the_address_hides_the_other_zones(estimator_client: Client, job: Job) -> None:
    soup = soup_of(estimator_client, url(job, "?zone=HM"))
    shown = [
        body["data-in-zone"] for body in soup.select("tbody.zone") if "hidden" not in body.attrs
    ]
    assert shown == ["HM"]


def test_nonsense_in_the_address_shows_the_whole_sheet(estimator_client: Client, job: Job) -> None:
    soup = soup_of(
        estimator_client, url(job, "?zone=<x>&open=abc&open=-1&open=9999999999999999999")
    )
    assert not soup.select("tbody.zone[hidden]")


def test_open_kit_shows_its_lines_without_script(estimator_client: Client, job: Job) -> None:
    kit = Line.objects.get(job=job, kind="kit")
    soup = soup_of(estimator_client, url(job, f"?open={kit.pk}"))
    assert [row["data-line"] for row in soup.select("tr.kid")] == ["HM-01.1", "HM-01.2"]


def test_prices_of_the_app_above_get_a_column_and_a_total(
    estimator_client: Client, technician_client: Client, job: Job
) -> None:
    figures.register_prices(lambda job, lines: {line.id: Decimal("1000.50") for line in lines})
    soup = soup_of(estimator_client, url(job))
    assert cells(soup, "DP-01")["sell"] == "1,000.50"
    assert cells(soup, "HM-01")["sell"] == "3,001.50"  # the kit and the two lines in it
    assert "1,000.50" not in technician_client.get(url(job)).content.decode()


def test_follow_up_and_circuits_of_the_apps_above_get_columns(
    technician_client: Client, job: Job
) -> None:
    def late(
        job: Job, lines: Sequence[sheet.SheetLine], whole: figures.WholeSheet
    ) -> dict[int, figures.FollowUp]:
        return {line.id: figures.FollowUp("ordered", "5 days late", late=True) for line in lines}

    figures.register_follow_up(late)
    figures.register_circuits(lambda job, lines: {line.id: "C07" for line in lines})
    row = cells(soup_of(technician_client, url(job)), "DP-01")
    assert (row["follow"], row["circuits"]) == ("5 days late", "C07")


def test_names_are_escaped_on_the_page_and_in_the_drawing(
    estimator_client: Client, estimator: User
) -> None:
    nasty = "<img src=x onerror=alert(1)>"
    job = make_job(estimator, vessel=make_vessel(name=nasty), customer=make_customer(name=nasty))
    job.vessel.zones.filter(code="HM").update(name=nasty)
    part = make_part(description=nasty)
    place = (Decimal("3.0"), Decimal(0), Decimal(2))
    sheet.add_part(job, zone_of(job, "HM"), part, by=estimator, details=sheet.Details(at=place))
    for name in ("jobs:sheet", "jobs:hull"):
        text = estimator_client.get(reverse(name, args=[job.number])).content.decode()
        assert "<img" not in text
        assert "&lt;img src=x onerror=alert(1)&gt;" in text


def add_many(job: Job, count: int) -> None:
    part = make_part()
    zones = list(job.vessel.zones.all())
    Line.objects.bulk_create(
        Line(
            job=job,
            zone=zones[number % len(zones)],
            position=10 + number,
            kind="part",
            part=part,
            trade=part.trade,
            tax_group=part.tax_group,
            description=f"Line {number}",
            unit_cost=Decimal(5),
            x_m=zones[number % len(zones)].x_min_m,
            y_m=zones[number % len(zones)].y_min_m,
            z_m=zones[number % len(zones)].z_min_m,
        )
        for number in range(count)
    )


@pytest.mark.parametrize("name", ["jobs:sheet", "jobs:hull", "jobs:refresh", "jobs:add"])
def test_queries_do_not_grow_with_the_lines(
    estimator_client: Client, estimator: User, name: str
) -> None:
    taken = []
    for count in (1, 10, 600):
        job = make_job(estimator)
        add_many(job, count)
        with CaptureQueriesContext(connection) as queries:
            response = estimator_client.get(reverse(name, args=[job.number]))
        assert response.status_code == 200
        taken.append(len(queries))
    assert taken[0] == taken[1] == taken[2]
