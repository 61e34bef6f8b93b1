"""The wiring pages as each role sees them, in a number of queries that does not grow."""

from decimal import Decimal

import pytest
from bs4 import BeautifulSoup
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalogue.models import Part
from electrical import cautions
from electrical.models import Circuit, Device, HomePort
from electrical.wiring.wire_up import wire_up
from fitout.jobs.models import Job
from fitout.kit.models import User
from fitout.kit.once import FIELD
from tests.factories.electrical import make_load, make_small_vessel, put, usual_loads

pytestmark = pytest.mark.django_db
#: Cables and devices of the catalogue, asked for once when a finding has a way out.
SHELF = 2
HTMX = {"HX-Request": "true", "HX-Target": "wiring"}


@pytest.fixture
def bare(estimator: User) -> Job:
    job = make_small_vessel(estimator, loads=usual_loads())
    Job.objects.filter(pk=job.pk).update(stage="in_build")
    job.refresh_from_db()
    return job


@pytest.fixture
def job(bare: Job, estimator: User) -> Job:
    wire_up(bare, estimator)
    return bare


def url(job: Job, name: str = "wiring", *args: object) -> str:
    return reverse(f"electrical:{name}", args=[job.number, *args])


def page(client: Client, address: str) -> BeautifulSoup:
    response = client.get(address)
    assert response.status_code == 200
    return BeautifulSoup(response.content, "html.parser")


def pump(job: Job) -> Circuit:
    return Circuit.objects.get(job=job, name="Wash pump")


def form_values(client: Client, address: str) -> dict[str, object]:
    """What the form would send as it stands."""
    form = page(client, address).select_one("#circuit-form")
    assert form is not None
    values: dict[str, object] = {}
    for field in form.select("input[name], select[name]"):
        name = str(field["name"])
        if field.name == "select":
            chosen = [option.get("value", "") for option in field.select("option[selected]")]
            values[name] = chosen if field.has_attr("multiple") else (chosen[:1] or [""])[0]
        elif field.get("type") != "checkbox" or field.has_attr("checked"):
            values[name] = field.get("value", "")
    return values


# Seeing.


def test_the_page_shows_diagram_findings_and_circuits(job: Job, estimator_client: Client) -> None:
    soup = page(estimator_client, url(job))
    labels = {c.label for c in Circuit.objects.filter(job=job)}
    drawn = {str(g["data-circuit"]) for g in soup.select("svg.schematic g[data-circuit]")}
    listed = {str(row["data-circuit"]) for row in soup.select("tr[data-circuit]")}
    assert drawn == labels
    assert listed == labels
    assert soup.select_one(".findings") is not None


def test_findings_fold_by_severity_and_stops_never_do(job: Job, estimator_client: Client) -> None:
    levels = page(estimator_client, url(job)).select("#findings > details")
    kinds = [level.select(".finding") for level in levels]
    numbers = [int(n.get_text()) for level in levels for n in level.select(".finding .number")]
    assert numbers == list(range(1, len(numbers) + 1))
    assert len(levels) > 1
    for level, found in zip(levels, kinds, strict=True):
        (kind,) = {str(finding["class"][1]) for finding in found}
        assert level.has_attr("open")
        assert level.get("data-phone-fold") == (None if kind == "stop" else kind)


def test_the_circuit_asked_for_is_selected_everywhere(job: Job, estimator_client: Client) -> None:
    label = pump(job).label
    soup = page(estimator_client, f"{url(job)}?circuit={label}")
    for drawing in (".on-wide", ".on-narrow"):
        assert [g["data-circuit"] for g in soup.select(f"{drawing} g.circuit.on")] == [label]
    assert [r["data-circuit"] for r in soup.select("tr.hand")] == [label]


@pytest.mark.parametrize("name", ["wiring", "energy"])
def test_every_page_carries_the_cautions(job: Job, estimator_client: Client, name: str) -> None:
    text = page(estimator_client, url(job, name)).get_text(" ", strip=True)
    assert cautions.TEXT in text


def test_a_technician_reads_but_changes_nothing(job: Job, technician_client: Client) -> None:
    soup = page(technician_client, url(job))
    assert soup.select("tr[data-circuit]")
    words = [button.get_text(strip=True) for button in soup.select("#wiring button")]
    assert words == []
    for name in ("wire_up", "renumber", "remedy"):
        assert technician_client.post(url(job, name)).status_code == 403
    edit = url(job, "circuit_edit", pump(job).pk)
    assert technician_client.get(edit).status_code == 403


def test_the_working_of_a_circuit_shows_its_values(job: Job, estimator_client: Client) -> None:
    soup = page(estimator_client, url(job, "circuit", pump(job).pk))
    headings = [h.get_text(strip=True) for h in soup.select("#circuit-panel h2")]
    assert headings[:6] == [
        "Length of the run",
        "Current",
        "What the conductor may carry",
        "Resistance",
        "Voltage drop",
        "Fault current",
    ]
    assert "8.00 A" in soup.get_text().replace("\u00a0", " ")


def test_a_circuit_of_another_job_is_not_found(job: Job, estimator_client: Client) -> None:
    assert estimator_client.get(url(job, "circuit", 999_999)).status_code == 404
    assert estimator_client.get(url(job, "device", 999_999)).status_code == 404


def test_an_empty_job_says_what_to_do(estimator: User, estimator_client: Client) -> None:
    from tests.factories.jobs import make_job

    soup = page(estimator_client, url(make_job(estimator)))
    assert "No circuit yet" in soup.get_text()


def test_htmx_gets_the_fragment_alone(job: Job, estimator_client: Client) -> None:
    response = estimator_client.get(url(job), headers=HTMX)
    assert response.content.lstrip().startswith(b'<div id="wiring"')


def test_queries_do_not_grow_with_the_circuits(
    job: Job, estimator: User, estimator_client: Client
) -> None:
    def counted() -> int:
        with CaptureQueriesContext(connection) as queries:
            estimator_client.get(url(job))
        return len(queries)

    estimator_client.get(url(job))
    before = counted()
    for number in range(10):
        put(job, make_load(f"Pump {number}", function="pump"), "HB", by=estimator)
    wire_up(job, estimator)
    assert counted() <= before + SHELF


def test_markup_in_a_name_is_shown_as_text(
    job: Job, estimator: User, estimator_client: Client
) -> None:
    circuit = pump(job)
    Circuit.objects.filter(pk=circuit.pk).update(name="<script>alert(1)</script>")
    body = estimator_client.get(url(job)).content.decode()
    assert "<script>alert(1)" not in body
    assert "&lt;script&gt;alert(1)" in body


# Changing.


def test_wiring_up_makes_circuits_and_answers_with_the_page(
    bare: Job, estimator_client: Client
) -> None:
    response = estimator_client.post(url(bare, "wire_up"), headers=HTMX)
    assert response.status_code == 200
    assert "circuits-changed" in response.headers["HX-Trigger"]
    assert "circuits made" in response.content.decode()
    assert Circuit.objects.filter(job=bare).count() >= 6


def test_without_script_it_goes_back_to_the_page(bare: Job, estimator_client: Client) -> None:
    response = estimator_client.post(url(bare, "wire_up"))
    assert response.status_code == 303
    assert response.headers["Location"] == url(bare)


def test_a_remedy_button_does_what_it_says(job: Job, estimator_client: Client) -> None:
    circuit = pump(job)
    Circuit.objects.filter(pk=circuit.pk).update(length_override_m=Decimal("30"))
    soup = page(estimator_client, url(job))
    finding = next(f for f in soup.select(".finding.stop") if circuit.label in f.get_text())
    form = finding.select_one("form")
    assert form is not None
    assert str(form.button.get_text(strip=True)).startswith("Use ")  # type: ignore[union-attr]
    sent = {str(i["name"]): str(i["value"]) for i in form.select("input[name]")}
    assert estimator_client.post(str(form["action"]), sent).status_code == 303
    done = Circuit.objects.get(pk=circuit.pk)
    assert done.cable_id != circuit.cable_id
    del sent[FIELD]  # somebody else, on an old page
    again = estimator_client.post(str(form["action"]), sent, follow=True).content.decode()
    assert f"No finding offers this for {circuit.label} any more; nothing changed." in again
    assert Circuit.objects.get(pk=circuit.pk).version == done.version


def test_what_the_catalogue_lacks_is_told_and_no_button(job: Job, estimator_client: Client) -> None:
    circuit = pump(job)
    Circuit.objects.filter(pk=circuit.pk).update(length_override_m=Decimal("30"))
    present = circuit.cable.cabledata.size_mm2  # type: ignore[union-attr]
    Part.objects.filter(cabledata__size_mm2__gt=present).update(active=False)
    for address in (url(job), url(job, "circuit", circuit.pk)):
        soup = page(estimator_client, address)
        found = [f for f in soup.select(".finding.stop") if circuit.label in f.get_text()]
        drop = next(f for f in found if "Voltage drop" in f.get_text())
        words = " ".join(drop.select(".remedy")[0].get_text().split())
        assert "mm²; the catalogue has no such part yet." in words
        assert f"Edit {circuit.label}" in words
        assert not drop.select("form")


@pytest.mark.parametrize("sent", [{}, {"circuit": "x"}, {"circuit": "9" * 30}, {"circuit": "0"}])
def test_a_remedy_for_no_circuit_says_so(
    job: Job, estimator_client: Client, sent: dict[str, str]
) -> None:
    response = estimator_client.post(url(job, "remedy"), sent, follow=True)
    assert "This circuit is no longer there." in response.content.decode()


def test_saving_a_circuit_keeps_a_choice_made_by_hand(job: Job, estimator_client: Client) -> None:
    circuit = pump(job)
    address = url(job, "circuit_edit", circuit.pk)
    values = form_values(estimator_client, address) | {
        "length_override_m": "6,5",
        "note": "Checked",
    }
    response = estimator_client.post(address, values)
    assert response.status_code == 303
    stored = Circuit.objects.get(pk=circuit.pk)
    assert stored.length_override_m == Decimal("6.5")
    assert stored.note == "Checked"
    assert not stored.cable_set_by_hand
    assert list(stored.devices.all()) == list(circuit.devices.all())


@pytest.mark.parametrize(
    ("field", "typed", "message"),
    [
        ("length_override_m", "0", "Measured length: 0.05 m at least."),
        ("length_override_m", "101", "Measured length: 100 m at most."),
        ("length_override_m", "long", "Measured length: write a number"),
        ("drop_limit_pct", "11", "Own drop limit: 10 % at most."),
        ("number", "0", "Number: 1 at least."),
        ("number", "1", "another circuit"),
        ("name", "x" * 121, "Function: 120 characters at most"),
        ("name", "bell\x07", "Function: holds a control character"),
        ("origin", "999999", "From: choose"),
        ("devices", "999999", "Feeds"),
        ("cable", "999999", "Cable: choose"),
    ],
)
def test_bad_input_is_told_at_its_field_and_kept(
    job: Job, estimator_client: Client, field: str, typed: str, message: str
) -> None:
    circuit = pump(job)
    address = url(job, "circuit_edit", circuit.pk)
    values = form_values(estimator_client, address) | {field: typed}
    response = estimator_client.post(address, values)
    assert response.status_code == 422
    soup = BeautifulSoup(response.content, "html.parser")
    told = soup.select_one(f"#field_id_{field}")
    assert told is not None
    assert message in told.get_text().replace("\u00a0", " ")
    assert Circuit.objects.get(pk=circuit.pk).version == circuit.version


def test_a_circuit_cannot_feed_where_it_starts(job: Job, estimator_client: Client) -> None:
    address = url(job, "circuit_edit", pump(job).pk)
    values = form_values(estimator_client, address)
    response = estimator_client.post(address, values | {"devices": [values["origin"]]})
    assert response.status_code == 422
    assert "is where the circuit starts" in response.content.decode()


def test_a_stale_circuit_shows_both(job: Job, estimator_client: Client) -> None:
    circuit = pump(job)
    address = url(job, "circuit_edit", circuit.pk)
    values = form_values(estimator_client, address) | {"name": "Mine"}
    circuit.name = "Theirs"
    circuit.save_if_version(circuit.version)
    response = estimator_client.post(address, values)
    body = response.content.decode()
    assert response.status_code in (409, 422)
    assert "stored now is “Theirs”" in body
    assert 'value="Mine"' in body


def test_a_circuit_can_be_added_and_removed_by_hand(job: Job, estimator_client: Client) -> None:
    board = Device.objects.get(job=job, kind="board")
    radar = Device.objects.get(job=job, name="Radar")
    address = url(job, "circuit_new")
    values = form_values(estimator_client, address)
    values |= {"name": "Spare", "origin": board.pk, "devices": [radar.pk], "nominal_v": "12"}
    assert estimator_client.post(address, values).status_code == 303
    made = Circuit.objects.get(job=job, name="Spare")
    assert estimator_client.post(url(job, "circuit_remove", made.pk)).status_code == 303
    assert not Circuit.objects.filter(pk=made.pk).exists()


def test_a_battery_is_told_to_be_held_down(job: Job, estimator_client: Client) -> None:
    battery = Device.objects.get(job=job, kind="battery")
    soup = page(estimator_client, url(job))
    assert "Battery held down" in soup.select_one(".findings").get_text()  # type: ignore[union-attr]
    address = url(job, "device", battery.pk)
    sent = {"form": "about", "held_down": "True", "version": battery.version}
    assert estimator_client.post(address, sent).status_code == 303
    soup = page(estimator_client, url(job))
    assert "Battery held down" not in soup.select_one(".findings").get_text()  # type: ignore[union-attr]
    chosen = page(estimator_client, address).select_one("[name=held_down] option[selected]")
    assert chosen is not None
    assert chosen.text == "Yes"


# Energy.


def test_a_device_may_be_on_for_another_share_of_the_time(
    job: Job, estimator_client: Client
) -> None:
    radar = Device.objects.get(job=job, name="Radar")
    address = url(job, "device", radar.pk)
    bad = estimator_client.post(address, {"form": "duties", "at_anchor": "101"})
    assert bad.status_code == 422
    assert "At anchor: 100" in bad.content.decode()
    sent = {"form": "duties", "at_anchor": "12,5"}
    assert estimator_client.post(address, sent).status_code == 303
    assert radar.duty_overrides.get().duty == Decimal("0.125")


def test_sun_and_cold_are_kept_and_count(job: Job, estimator_client: Client) -> None:
    sent = {"irradiation_kwh_m2_day": "2,6", "lowest_c": "-6", "source": "our own log"}
    address = url(job, "home_port")
    assert estimator_client.post(address, sent).status_code == 303
    port = HomePort.objects.get(job=job)
    assert (port.irradiation_kwh_m2_day, port.lowest_c) == (Decimal("2.60"), -6)
    bad = estimator_client.post(address, sent | {"lowest_c": "-41", "version": port.version})
    assert bad.status_code == 422
    assert "Lowest temperature: -40" in bad.content.decode()
    stale = estimator_client.post(address, sent | {"version": port.version + 5})
    assert stale.status_code in (409, 422)
    assert HomePort.objects.get(job=job).version == port.version
