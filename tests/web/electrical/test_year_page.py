"""The page of a year: what is missing, the run, a chosen month, the figures of the port."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from decimal import Decimal

import pytest
from bs4 import BeautifulSoup
from django.test import Client
from django.urls import reverse

from electrical.models import EnergyYear, HomePort, OperatingState
from electrical.wiring.wire_up import wire_up
from electrical.year import running
from fitout.jobs.models import Job
from fitout.kit.models import User
from tests.factories.electrical import make_load, make_small_vessel, set_day
from tests.unit.electrical.test_year import MONTHS

pytestmark = pytest.mark.django_db
Committed = Callable[..., AbstractContextManager[object]]


@pytest.fixture
def job(estimator: User, monkeypatch: pytest.MonkeyPatch) -> Job:
    monkeypatch.setattr(running.run, "__kwdefaults__", {"draws": 20})
    job = make_small_vessel(estimator, loads=[(make_load("Fridge", current_a="4"), "HM")])
    Job.objects.filter(pk=job.pk).update(stage="in_build")
    wire_up(job, estimator)
    hours = dict.fromkeys(OperatingState.values, Decimal(0)) | {"at_anchor": Decimal(24)}
    set_day(job, hours, estimator)
    return job


def url(job: Job, name: str = "energy_year") -> str:
    return reverse(f"electrical:{name}", args=[job.number])


def shown(client: Client, address: str) -> BeautifulSoup:
    response = client.get(address)
    assert response.status_code == 200
    return BeautifulSoup(response.content, "html.parser")


def figures(**changes: str) -> dict[str, str]:
    sent = {"latitude_deg": "51,5", "source": "our own log", "version": ""}
    for month, (sun, air) in MONTHS.items():
        sent |= {f"sun_{month}": str(sun), f"air_{month}": str(air)}
    return sent | changes


@pytest.fixture
def told(job: Job, estimator_client: Client) -> Job:
    assert estimator_client.post(url(job, "port_year"), figures()).status_code == 303
    return job


@pytest.fixture
def run(told: Job, estimator_client: Client, django_capture_on_commit_callbacks: Committed) -> Job:
    with django_capture_on_commit_callbacks(execute=True):
        assert estimator_client.post(url(told, "energy_year_ask")).status_code == 303
    return told


def test_it_cannot_tell_without_the_port_and_links_to_its_fields(
    job: Job, estimator_client: Client
) -> None:
    soup = shown(estimator_client, url(job))
    gaps = [link.text for link in soup.select('#year a[href="#port"]')]
    assert "Home port: latitude" in gaps
    assert soup.select_one("#port input[name=latitude_deg]") is not None
    assert soup.select_one(f'form[action="{url(job, "energy_year_ask")}"]') is None


def test_figures_of_the_port_are_kept(told: Job) -> None:
    port = HomePort.objects.get(job=told)
    assert (port.latitude_deg, port.source) == (Decimal("51.50"), "our own log")
    assert port.months.get(month=6).irradiation_kwh_m2_day == Decimal("5.30")


def test_a_figure_out_of_range_is_named_and_nothing_typed_is_lost(
    job: Job, estimator_client: Client
) -> None:
    response = estimator_client.post(url(job, "port_year"), figures(sun_4="13", latitude_deg="70"))
    assert response.status_code == 422
    soup = BeautifulSoup(response.content, "html.parser")
    assert "Sun in April: 12\N{NO-BREAK SPACE}kWh/m² at most" in soup.text
    assert "Latitude: 66\N{NO-BREAK SPACE}° at most" in soup.text
    kept = soup.select_one("input[name=sun_4]")
    assert kept is not None
    assert kept["value"] == "13"
    assert not HomePort.objects.exists()


def test_a_month_without_sun_near_the_polar_circle_is_kept(
    job: Job, estimator_client: Client
) -> None:
    sent = figures(sun_12="0,0", latitude_deg="65.9")
    assert estimator_client.post(url(job, "port_year"), sent).status_code == 303
    december = HomePort.objects.get(job=job).months.get(month=12)
    assert december.irradiation_kwh_m2_day == 0
    kept = shown(estimator_client, url(job)).select_one("input[name=sun_12]")
    assert kept is not None and Decimal(str(kept["value"])) == 0
    assert "mean irradiation" not in shown(estimator_client, url(job)).text


def test_figures_somebody_else_saved_meanwhile_are_not_overwritten_unseen(
    told: Job, estimator_client: Client
) -> None:
    response = estimator_client.post(url(told, "port_year"), figures(latitude_deg="40"))
    assert response.status_code == 409
    soup = BeautifulSoup(response.content, "html.parser")
    version = soup.select_one("#port input[name=version]")
    assert version is not None
    again = figures(latitude_deg="40", version=str(version["value"]))
    assert estimator_client.post(url(told, "port_year"), again).status_code == 303
    assert HomePort.objects.get(job=told).latitude_deg == 40


def test_the_year_stands_by_month_and_by_hour(run: Job, estimator_client: Client) -> None:
    soup = shown(estimator_client, f"{url(run)}?month=7")
    months, hours = soup.select("table")[:2]
    assert len(months.select("tbody tr")) == 12
    assert len(hours.select("tbody tr")) == 24
    assert "A day in July" in soup.text
    assert len(soup.select("svg.chart")) == 2
    assert "one more 100 Ah battery" in soup.text
    assert "is the worst month" in shown(estimator_client, url(run, "energy")).text


def test_it_says_how_the_year_is_worked_out_and_where_each_step_is_from(
    run: Job, estimator_client: Client
) -> None:
    soup = shown(estimator_client, url(run))
    rows = soup.select("#year .working-steps tbody tr")
    assert len(rows) == 5
    assert [row.text for row in rows if not all(cell.text for cell in row.select("th, td"))] == []
    ticks = [text.get_text() for text in soup.select("svg.chart text")]
    assert "25\N{NO-BREAK SPACE}%" in ticks
    assert "12\N{NO-BREAK SPACE}h" in ticks


def test_a_change_since_is_told(run: Job, estimator: User, estimator_client: Client) -> None:
    assert "was changed since" not in shown(estimator_client, url(run)).text
    hours = dict.fromkeys(OperatingState.values, Decimal(0)) | {"idle": Decimal(24)}
    set_day(run, hours, estimator)
    assert "was changed since" in shown(estimator_client, url(run)).text


@pytest.mark.parametrize("month", ["0", "13", "x", "99999", "-1", "²"])
def test_any_month_asked_for_is_answered(run: Job, estimator_client: Client, month: str) -> None:
    assert "A day in" in shown(estimator_client, f"{url(run)}?month={month}").text


def test_a_technician_reads_it_and_changes_nothing(
    run: Job, technician: User, technician_client: Client
) -> None:
    Job.objects.filter(pk=run.pk).update(lead=technician)
    soup = shown(technician_client, url(run))
    assert soup.select_one("#year form, #port") is None
    assert technician_client.post(url(run, "energy_year_ask")).status_code == 403
    assert technician_client.post(url(run, "port_year"), figures()).status_code == 403
    assert EnergyYear.objects.count() == 1
