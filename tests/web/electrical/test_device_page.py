"""What only a person knows of a device: how a panel stands, what joins two batteries."""

import pytest
from bs4 import BeautifulSoup
from django.test import Client
from django.urls import reverse

from catalogue.models import BatteryData, Part
from electrical.check import check
from electrical.core.tables.voc_cold import cold_factor
from electrical.day_plans import set_home_port
from electrical.facts import load_facts
from electrical.models import Circuit, CircuitRole, Device
from electrical.wiring.wire_up import wire_up
from electrical.year.inputs import inputs_of
from fitout.jobs.models import Job
from fitout.kit.models import User
from tests.factories.electrical import make_battery, make_small_vessel, put
from tests.unit.electrical.test_links import make_parallel_switch
from tests.unit.electrical.test_solar import make_panel, make_regulator

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(estimator: User) -> Job:
    job = make_small_vessel(estimator, loads=[(make_panel(), "RF"), (make_regulator(), "BL")])
    put(job, make_battery("Start battery", use="start"), "EW", by=estimator)
    put(job, make_parallel_switch(), "BL", by=estimator)
    wire_up(job, estimator)
    return job


def device(job: Job, name: str) -> Device:
    return Device.objects.get(job=job, name=name)


def url(job: Job, name: str, *args: object) -> str:
    return reverse(f"electrical:{name}", args=[job.number, *args])


def shown(client: Client, address: str) -> BeautifulSoup:
    answer = client.get(address)
    assert answer.status_code == 200
    return BeautifulSoup(answer.content, "html.parser")


def asked(soup: BeautifulSoup) -> set[str]:
    form = soup.select_one("form.form:has(input[name=form][value=about])")
    names = {str(field["name"]) for field in form.select("[name]")} if form else set()
    return names - {"csrfmiddlewaretoken", "once", "form", "version"}


def test_each_kind_is_asked_what_only_a_person_knows(job: Job, estimator_client: Client) -> None:
    for name, fields in (
        ("Solar panel", {"tilt_deg", "facing_deg", "in_series_with"}),
        ("Emergency switch", {"link_is_limited"}),
        ("House battery", {"held_down"}),
        ("Battery isolator", set()),
        ("Solar regulator", set()),
    ):
        address = url(job, "device", device(job, name).pk)
        assert asked(shown(estimator_client, address)) == fields, name


def test_the_year_shows_how_panels_stand_and_leads_there(
    job: Job, estimator_client: Client
) -> None:
    panel = device(job, "Solar panel")
    address = url(job, "device", panel.pk)
    section = shown(estimator_client, url(job, "energy_year")).select_one("#panels")
    assert section is not None
    assert "flat" in section.text
    assert [a["href"] for a in section.select("a")] == [address]
    sent = {"form": "about", "tilt_deg": "30", "facing_deg": "180", "version": panel.version}
    assert estimator_client.post(address, sent).status_code == 303
    section = shown(estimator_client, url(job, "energy_year")).select_one("#panels")
    assert section is not None
    assert "at 30°, facing 180° from north over east" in section.text


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("tilt_deg", "91", "Slope: 90\N{NO-BREAK SPACE}° at most."),
        ("facing_deg", "-1", "Faces: 0\N{NO-BREAK SPACE}° at least."),
    ],
)
def test_a_slope_or_bearing_that_can_not_be_is_refused_and_kept(
    job: Job, estimator_client: Client, field: str, value: str, message: str
) -> None:
    panel = device(job, "Solar panel")
    sent = {"form": "about", field: value, "version": panel.version}
    answer = estimator_client.post(url(job, "device", panel.pk), sent)
    assert answer.status_code == 422
    soup = BeautifulSoup(answer.content, "html.parser")
    typed = soup.select_one(f"[name={field}]")
    assert typed is not None
    assert typed["value"] == value
    messages = [one.get_text(" ", strip=True) for one in soup.select(".errorlist li")]
    assert messages == [message]
    panel.refresh_from_db()
    assert getattr(panel, field) is None


def test_the_finding_about_a_link_leads_to_its_questions(
    job: Job, estimator_client: Client
) -> None:
    BatteryData.objects.filter(use="house").update(chemistry="lfp")
    switch = device(job, "Emergency switch")
    address = url(job, "device", switch.pk)
    findings = shown(estimator_client, url(job, "wiring")).select_one(".findings")
    assert findings is not None
    assert address in [a["href"] for a in findings.select("a")]
    sent = {"form": "about", "link_is_limited": "False", "version": switch.version}
    assert estimator_client.post(address, sent).status_code == 303
    findings = shown(estimator_client, url(job, "wiring")).select_one(".findings")
    assert findings is not None
    assert "joins lithium to lead-acid without a limiter" in findings.text


def test_an_emergency_switch_shows_its_leads(job: Job, estimator_client: Client) -> None:
    soup = shown(estimator_client, url(job, "device", device(job, "Emergency switch").pk))
    main = soup.select_one("main")
    assert main is not None
    tags = [a.text for a in main.select("dl.pairs a.tag")]
    leads = Circuit.objects.filter(job=job, role=CircuitRole.LINK)
    assert tags == [lead.label for lead in leads]
    assert len(tags) == 2
    assert url(job, "states") in [a["href"] for a in main.select("a")]


def test_panels_in_series_share_a_lead_and_add_their_volts(
    job: Job, estimator: User, estimator_client: Client
) -> None:
    """22 V × 2 × 1.12, NFPA 70's factor of −6 °C from memory, into a regulator that stands 75 V."""
    put(job, Part.objects.get(kind="solar_panel"), "RF", by=estimator)
    first, second = Device.objects.filter(job=job, kind="solar_panel").order_by("pk")
    set_home_port(job, by=estimator, lowest_c=-6)
    sent = {"form": "about", "in_series_with": first.pk, "version": second.version}
    assert estimator_client.post(url(job, "device", second.pk), sent).status_code == 303
    wire_up(job, estimator)
    leads = Circuit.objects.filter(job=job, origin__kind="solar_panel")
    assert [lead.origin_id for lead in leads] == [first.pk]
    (found,) = [one for one in check(job).own if one.rule_id == "cold-string"]
    assert found.value == pytest.approx(2 * 22 * cold_factor(-6.0))
    assert "The string of 2 panels on" in found.message
    (regulator,) = [one for one in check(job).own if one.rule_id == "regulator-input"]
    assert regulator.value == 7.0
    (panels,) = inputs_of(load_facts(job)).panels
    assert (panels.count, panels.in_series) == (2, 2)
    page = shown(estimator_client, url(job, "device", first.pk))
    steps = page.select(".working-steps tbody tr")
    rows = {row.select("th")[0].text: row.select("td")[1].text for row in steps}
    assert rows["Panels in series"] == "2"
    assert rows["Voltage at rated power"] == "36.0\N{NO-BREAK SPACE}V"
    assert not shown(estimator_client, url(job, "device", second.pk)).select(".working-steps")


def test_a_string_that_can_not_be_is_refused_at_its_field(
    job: Job, estimator: User, estimator_client: Client
) -> None:
    put(job, Part.objects.get(kind="solar_panel"), "RF", by=estimator)
    wire_up(job, estimator)
    first, second = Device.objects.filter(job=job, kind="solar_panel").order_by("pk")
    lead = Circuit.objects.get(job=job, origin=second)
    sent = {"form": "about", "in_series_with": first.pk, "version": second.version}
    answer = estimator_client.post(url(job, "device", second.pk), sent)
    assert answer.status_code == 422
    words = f"In series with: {second.label} has a lead of its own, {lead.label}; remove that"
    assert words in answer.content.decode()
    lead.delete()
    assert estimator_client.post(url(job, "device", second.pk), sent).status_code == 303
    sent = {"form": "about", "in_series_with": second.pk, "version": first.version}
    assert estimator_client.post(url(job, "device", first.pk), sent).status_code == 422
