"""Operating states: every state solved, and the start through the emergency switch."""

import pytest
from bs4 import BeautifulSoup
from django.test import Client
from django.urls import reverse

from catalogue.models import SwitchData
from electrical.adapters.design import EMERGENCY_START
from electrical.check import check
from electrical.devices import tell
from electrical.models import Circuit, CircuitRole, Device, OperatingState
from electrical.wiring.wire_up import wire_up
from fitout.jobs.models import Job
from fitout.kit.models import User
from tests.factories.electrical import make_battery, make_small_vessel, put
from tests.unit.electrical.test_links import make_engine, make_parallel_switch

pytestmark = pytest.mark.django_db


@pytest.fixture
def plain(estimator: User) -> Job:
    job = make_small_vessel(estimator)
    put(job, make_battery("Start battery", use="start"), "EW", by=estimator)
    put(job, make_engine(), "EW", by=estimator)
    return job


@pytest.fixture
def job(plain: Job, estimator: User) -> Job:
    put(plain, make_parallel_switch(), "BL", by=estimator)
    wire_up(plain, estimator)
    return plain


def url(job: Job, name: str, *args: object) -> str:
    return reverse(f"electrical:{name}", args=[job.number, *args])


def shown(client: Client, job: Job) -> BeautifulSoup:
    answer = client.get(url(job, "states"))
    assert answer.status_code == 200
    return BeautifulSoup(answer.content, "html.parser")


def rows(soup: BeautifulSoup) -> dict[str, list[str]]:
    table = soup.select_one("table")
    assert table is not None
    found = {}
    for row in table.select("tbody tr"):
        name, *cells = [cell.get_text(" ", strip=True) for cell in row.select("th, td")]
        found[name] = cells
    return found


def test_every_state_has_its_verdict_and_voltages(job: Job, estimator_client: Client) -> None:
    result = check(job).result
    assert result is not None
    engine_v = {name: state.starting_v for name, state in result.states.items()}
    found = rows(shown(estimator_client, job))
    assert set(found) == {*OperatingState.labels, "Emergency start"} - {""}
    assert {cells[0] for cells in found.values()} == {"solved"}
    for label, state_id in (
        ("Engine start", "engine_start"),
        ("Emergency start", "emergency_start"),
    ):
        (volts,) = engine_v[state_id].values()
        assert found[label][2].startswith(f"{volts:.2f}\N{NO-BREAK SPACE}V at")
    assert found["At anchor"][2] == "–"


def test_the_currents_through_switch_and_leads_stand_there(
    job: Job, estimator_client: Client
) -> None:
    result = check(job).result
    assert result is not None
    state = result.states[EMERGENCY_START.id]
    (through_a,) = state.link_a.values()
    soup = shown(estimator_client, job)
    told = soup.select_one("dl.pairs dd")
    assert told is not None
    assert told.text.startswith(f"{through_a:.1f}".removesuffix(".0"))
    assert "of 500\N{NO-BREAK SPACE}A" in told.text
    table = soup.select("table")[1]
    cells = [
        [c.get_text(" ", strip=True) for c in row.select("th, td")]
        for row in table.select("tbody tr")
    ]
    leads = Circuit.objects.filter(job=job, role=CircuitRole.LINK).order_by("number")
    assert [row[0] for row in cells] == [lead.label for lead in leads]
    for row, lead in zip(cells, leads, strict=True):
        assert row[2] == f"{state.point_v[str(lead.origin_id)]:.2f}"
        assert float(row[3]) == pytest.approx(through_a, abs=0.06)
        assert float(row[4]) > through_a


def test_without_a_switch_the_emergency_start_is_left_out_and_says_why(
    plain: Job, estimator: User, estimator_client: Client
) -> None:
    wire_up(plain, estimator)
    soup = shown(estimator_client, plain)
    assert "Emergency start" not in rows(soup)
    assert "Left out: no emergency parallel switch is on the build sheet." in soup.text


def test_before_wiring_and_with_a_limiter_it_says_why(
    plain: Job, estimator: User, estimator_client: Client
) -> None:
    put(plain, make_parallel_switch(), "BL", by=estimator)
    switch = Device.objects.get(job=plain, name="Emergency switch")
    assert (
        f"{switch.label} is left out: it has a lead from no battery."
        in shown(estimator_client, plain).text
    )
    wire_up(plain, estimator)
    Circuit.objects.filter(job=plain, role=CircuitRole.LINK).order_by("number")[0].delete()
    assert (
        f"{switch.label} is left out: it has a lead from G" in shown(estimator_client, plain).text
    )
    wire_up(plain, estimator)
    tell(switch, by=estimator, version=switch.version, link_is_limited=True)
    assert "its limiter keeps the current small" in shown(estimator_client, plain).text


def test_a_finding_about_the_switch_stands_there_and_on_the_wiring(
    job: Job, estimator_client: Client
) -> None:
    SwitchData.objects.filter(is_emergency_parallel=True).update(cranking_a=100)
    words = "while the engine is started through it and is rated 100\N{NO-BREAK SPACE}A for that"
    assert words in shown(estimator_client, job).text
    wiring = estimator_client.get(url(job, "wiring")).content.decode()
    assert words in wiring
    assert url(job, "states") in wiring


def sent_as_lead(job: Job, origin: Device, *devices: Device) -> dict[str, object]:
    return {
        "name": "Another lead",
        "number": 90,
        "role": CircuitRole.LINK,
        "origin": origin.pk,
        "devices": [device.pk for device in devices],
        "nominal_v": "12",
        "protection_distance_m": "0.1",
        "in_parallel": 1,
    }


def refused(client: Client, job: Job, origin: str, *devices: str) -> list[str]:
    by_name = {device.name: device for device in Device.objects.filter(job=job)}
    sent = sent_as_lead(job, by_name[origin], *[by_name[name] for name in devices])
    answer = client.post(url(job, "circuit_new"), sent)
    assert answer.status_code == 422
    soup = BeautifulSoup(answer.content, "html.parser")
    return [one.get_text(" ", strip=True) for one in soup.select(".errorlist li")]


def test_a_lead_starts_at_a_battery_and_ends_at_the_switch(
    job: Job, estimator: User, estimator_client: Client
) -> None:
    put(job, make_battery("Spare battery"), "BL", by=estimator)
    put(job, make_battery("Thruster battery", nominal_v=24), "BL", by=estimator)
    wrong = "From: a lead to an emergency switch starts at a battery."
    assert wrong in refused(estimator_client, job, "Busbar", "Emergency switch")
    assert refused(estimator_client, job, "Spare battery", "Engine") == [
        "Feeds: one emergency parallel switch ends this lead."
    ]
    (joins,) = refused(estimator_client, job, "Spare battery", "Emergency switch")
    assert joins.endswith("already.")
    assert " joins G" in joins
    (again,) = refused(estimator_client, job, "House battery", "Emergency switch")
    assert "has a lead to" in again
    Circuit.objects.filter(job=job, role=CircuitRole.LINK).order_by("number")[0].delete()
    (differ,) = refused(estimator_client, job, "Thruster battery", "Emergency switch")
    assert differ.endswith("differ in voltage and can not be joined.")


def test_a_lead_may_be_made_by_hand(plain: Job, estimator: User, estimator_client: Client) -> None:
    put(plain, make_parallel_switch(), "BL", by=estimator)
    by_name = {device.name: device for device in Device.objects.filter(job=plain)}
    for number, origin in enumerate(("House battery", "Start battery"), start=80):
        sent = sent_as_lead(plain, by_name[origin], by_name["Emergency switch"])
        answer = estimator_client.post(url(plain, "circuit_new"), sent | {"number": number})
        assert answer.status_code == 303
    assert Circuit.objects.filter(job=plain, role=CircuitRole.LINK).count() == 2
    wire_up(plain, estimator)
    leads = Circuit.objects.filter(job=plain, role=CircuitRole.LINK)
    assert {lead.number for lead in leads} == {80, 81}
    assert all(lead.cable_id and lead.protection_id for lead in leads)
