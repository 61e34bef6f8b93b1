"""Customers, new jobs, particulars, stages and the hull plan's pages."""

from decimal import Decimal
from typing import Any

import pytest
from bs4 import BeautifulSoup
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from fitout.jobs import figures, guards, sheet
from fitout.jobs.hullplan.templates import TEMPLATES
from fitout.jobs.models import CablewaySegment, Customer, Job, Vessel, Zone
from fitout.kit.models import AuditEntry, User
from tests.factories.jobs import make_customer, make_job, make_part, zone_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def nobody_above(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(figures, "_sources", {})
    monkeypatch.setattr(guards, "_GUARDS", [])


@pytest.fixture
def job(estimator: User) -> Job:
    return make_job(estimator)


NEW_JOB = {
    "customer": "",
    "new_customer": "Grey Heron Ferries",
    "vessel_name": "Bittern",
    "template": "launch",
    "length_m": "7,4",
    "beam_m": "2.6",
    "depth_m": "1.4",
    "height_m": "3.4",
    "draught_m": "0.7",
    "title": "Fit-out",
}


def test_new_job_has_its_customer_and_a_hull_plan(estimator_client: Client) -> None:
    response = estimator_client.post(reverse("jobs:new"), NEW_JOB)
    assert response.status_code == 303
    job = Job.objects.get(vessel__name="Bittern")
    assert job.customer.name == "Grey Heron Ferries"
    assert job.vessel.length_m == Decimal("7.4")
    assert job.vessel.zones.filter(code="ER").exists()
    assert job.vessel.segments.count() > 10
    assert estimator_client.get(response["Location"]).status_code == 200


@pytest.mark.parametrize(
    ("field", "typed", "message"),
    [
        ("length_m", "1.9", "Length: 2\N{NO-BREAK SPACE}m at least."),
        ("length_m", "31", "Length: 30\N{NO-BREAK SPACE}m at most."),
        ("beam_m", "wide", "Beam: write a number, such as 12.5\N{NO-BREAK SPACE}m."),
        ("height_m", "1.4", "Height over all: 1.6 m at least, so that there are zones above"),
        ("height_m", "1.0", "Height over all: at least the depth of the hull, 1.4 m."),
        ("light_x_m", "9", "Centre of that mass: at most the length, 7.4 m."),
        ("vessel_name", "", "Vessel: fill this in."),
        ("template", "airship", "Kind of vessel: choose one from the list."),
        ("new_customer", " ", "New customer: choose a customer or name a new one."),
        ("customer", "999", "Customer: choose one from the list."),
        ("asked_for", "soon", "Date asked for: write a date such as 2026-03-21."),
        ("title", "x" * 121, "What is to be done: 120 characters at most, not 121."),
    ],
)
def test_bad_new_job_is_told_and_nothing_is_made(
    estimator_client: Client, field: str, typed: str, message: str
) -> None:
    response = estimator_client.post(reverse("jobs:new"), {**NEW_JOB, field: typed})
    assert response.status_code == 422
    assert message in response.content.decode()
    assert not Job.objects.exists()
    assert not Vessel.objects.exists()
    assert not Customer.objects.exists()


@pytest.mark.parametrize("template", sorted(TEMPLATES))
@pytest.mark.parametrize(
    "sizes",
    [
        {"depth_m": "1.5", "height_m": "1.7"},
        {"length_m": "2", "beam_m": "1", "depth_m": "0.3", "height_m": "0.5", "draught_m": "0"},
        {"length_m": "30", "beam_m": "10", "depth_m": "6", "height_m": "8", "draught_m": "4"},
    ],
)
def test_every_size_within_the_limits_can_be_opened_and_drawn(
    estimator_client: Client, template: str, sizes: dict[str, str]
) -> None:
    data = {**NEW_JOB, "template": template, **sizes}
    assert estimator_client.post(reverse("jobs:new"), data).status_code == 303
    job = Job.objects.get()
    for name in ("jobs:sheet", "jobs:hull"):
        assert estimator_client.get(reverse(name, args=[job.number])).status_code == 200


def test_customer_chosen_and_named_at_once_is_a_contradiction(estimator_client: Client) -> None:
    customer = make_customer(name="Known")
    data = {**NEW_JOB, "customer": customer.pk}
    response = estimator_client.post(reverse("jobs:new"), data)
    assert response.status_code == 422
    assert "New customer: leave empty, a customer is chosen above." in response.content.decode()


def test_customer_is_added_then_changed_with_a_version(
    estimator_client: Client, owner: User
) -> None:
    new = {"name": "Reed Warbler Tours", "email": "post@example.org"}
    assert estimator_client.post(reverse("jobs:customer_new"), new).status_code == 303
    customer = Customer.objects.get()
    assert customer.name in estimator_client.get(reverse("jobs:customers")).content.decode()
    customer.name = "Reed Warbler Trips"
    customer.save_if_version(1, by=owner)
    stale = {**new, "name": "Reed", "version": 1}
    response = estimator_client.post(reverse("jobs:customer", args=[customer.pk]), stale)
    assert response.status_code in (409, 422)
    assert "stored now is “Reed Warbler Trips”" in response.content.decode()
    assert Customer.objects.get().name == "Reed Warbler Trips"


def test_customers_are_found_by_a_part_of_the_name_in_constant_queries(
    estimator_client: Client,
) -> None:
    taken = []
    for count in (1, 10):
        Customer.objects.all().delete()
        Customer.objects.bulk_create(Customer(name=f"Reed {n}") for n in range(count))
        make_customer(name="Sedge")
        with CaptureQueriesContext(connection) as queries:
            text = estimator_client.get(reverse("jobs:customers"), {"q": "reed"}).content.decode()
        taken.append(len(queries))
        assert f"{count} customer" in text
        assert "Sedge" not in text
    assert taken[0] == taken[1]


def test_bad_address_of_a_customer_is_told(estimator_client: Client) -> None:
    data = {"name": "Reed", "email": "nonsense"}
    response = estimator_client.post(reverse("jobs:customer_new"), data)
    assert response.status_code == 422
    assert "Email: write an address such as name@example.org." in response.content.decode()


def test_technician_sees_no_customers_and_opens_no_jobs(technician_client: Client) -> None:
    for name in ("jobs:customers", "jobs:customer_new", "jobs:new"):
        assert technician_client.get(reverse(name)).status_code == 403


def test_stage_moves_from_the_particulars(estimator_client: Client, job: Job) -> None:
    response = estimator_client.post(reverse("jobs:stage", args=[job.number]), {"stage": "quoted"})
    assert response.status_code == 303
    assert Job.objects.get().stage == "quoted"


@pytest.mark.parametrize(
    ("stage", "message"),
    [
        ("closed", "Stage: from Enquiry a job moves to Quoted or Lost, not to Closed."),
        ("sunk", "Stage: choose one from the list."),
        ("", "Stage: fill this in."),
    ],
)
def test_refused_stage_says_why(
    estimator_client: Client, job: Job, stage: str, message: str
) -> None:
    response = estimator_client.post(reverse("jobs:stage", args=[job.number]), {"stage": stage})
    assert response.status_code == 422
    assert message in response.content.decode()
    assert Job.objects.get().stage == "enquiry"


def particulars(job: Job, **changes: Any) -> dict[str, Any]:
    vessel = job.vessel
    return {
        "job-version": job.version,
        "job-title": job.title,
        "job-customer": job.customer_id,
        "job-autonomy_asked_days": "2",
        "job-rule_set": "iso",
        "vessel-version": vessel.version,
        "vessel-name": vessel.name,
        "vessel-length_m": "8.6",
        "vessel-beam_m": "2.8",
        "vessel-depth_m": "1.5",
        "vessel-height_m": "3.7",
        "vessel-draught_m": "0.5",
        **changes,
    }


def test_particulars_of_job_and_vessel_are_saved_together(
    estimator_client: Client, job: Job
) -> None:
    data = particulars(job, **{"job-title": "Refit", "vessel-name": "Samphire"})
    response = estimator_client.post(reverse("jobs:details", args=[job.number]), data)
    assert response.status_code == 303
    saved = Job.objects.select_related("vessel").get()
    assert (saved.title, saved.vessel.name) == ("Refit", "Samphire")


def test_neither_is_saved_when_one_is_wrong(estimator_client: Client, job: Job) -> None:
    data = particulars(job, **{"job-title": "Refit", "vessel-beam_m": "0"})
    response = estimator_client.post(reverse("jobs:details", args=[job.number]), data)
    assert response.status_code == 422
    assert "Beam: 1\N{NO-BREAK SPACE}m at least." in response.content.decode()
    assert Job.objects.get().title == "Fit-out"


def hull(job: Job, name: str, *more: int) -> str:
    return reverse(f"jobs:{name}", args=[job.number, *more])


def zone_data(**changes: str) -> dict[str, str]:
    return {
        "code": "lk",
        "name": "Locker",
        "x_min_m": "1",
        "x_max_m": "2",
        "y_min_m": "-0,5",
        "y_max_m": "0.5",
        "z_min_m": "0.2",
        "z_max_m": "0.8",
        "environment": "dry",
        "position": "20",
        **changes,
    }


def test_hull_page_shows_both_views_lengths_and_no_gaps(estimator_client: Client, job: Job) -> None:
    soup = BeautifulSoup(estimator_client.get(hull(job, "hull")).content, "html.parser")
    assert len(soup.select("svg.hull-drawing")) == 2
    assert "W6 in all" in soup.get_text()
    assert not soup.select(".gap")
    nodes = [th.get_text() for th in soup.select("section:last-child tbody th")]
    assert nodes.index("N2") < nodes.index("N10")


def test_technician_looks_at_the_hull_plan_but_does_not_change_it(
    technician_client: Client, estimator: User
) -> None:
    job = make_job(estimator, stage="in_build")
    text = technician_client.get(hull(job, "hull")).content.decode()
    assert "Add a zone" not in text
    assert technician_client.post(hull(job, "zone_new"), zone_data()).status_code == 403


def test_zone_is_added_with_its_code_in_capitals(estimator_client: Client, job: Job) -> None:
    assert estimator_client.post(hull(job, "zone_new"), zone_data()).status_code == 303
    zone = Zone.objects.get(vessel=job.vessel, code="LK")
    assert (zone.y_min_m, zone.ventilated) == (Decimal("-0.5"), False)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"x_max_m": "8.7"}, "To x: 8.6\N{NO-BREAK SPACE}m at most, the hull ends there."),
        ({"x_min_m": "-0.1"}, "From x: 0\N{NO-BREAK SPACE}m at least, the hull ends there."),
        ({"y_max_m": "1.5"}, "To y: 1.4\N{NO-BREAK SPACE}m at most, the hull ends there."),
        ({"x_max_m": "0.5"}, "To x: more than from x, 1\N{NO-BREAK SPACE}m."),
        ({"z_max_m": "high"}, "To z: write a number, such as 12.5\N{NO-BREAK SPACE}m."),
        ({"code": "FD"}, "Code: FD is taken by FD Foredeck and ramp."),
        ({"code": "F D"}, "Code: letters and figures only, such as FD or N12."),
        ({"code": "LONG"}, "Code: 3 characters at most, not 4."),
        ({"name": ""}, "Name: fill this in."),
        ({"environment": "space"}, "Environment: choose one from the list."),
        ({"position": "1.5"}, "Order on the sheet: whole numbers only."),
    ],
)
def test_bad_zone_is_told_at_its_field(
    estimator_client: Client, job: Job, changes: dict[str, str], message: str
) -> None:
    before = Zone.objects.count()
    response = estimator_client.post(hull(job, "zone_new"), zone_data(**changes))
    assert response.status_code == 422
    assert message in response.content.decode()
    assert Zone.objects.count() == before


def test_zone_with_lines_is_not_removed(
    estimator_client: Client, job: Job, estimator: User
) -> None:
    zone = zone_of(job, "AD")
    sheet.add_part(job, zone, make_part(), by=estimator)
    response = estimator_client.post(hull(job, "zone_remove", zone.pk), follow=True)
    assert "1 line of the build sheet stand in it" in response.content.decode()
    assert Zone.objects.filter(pk=zone.pk).exists()


def test_lonely_node_is_told_on_the_hull_plan(estimator_client: Client, job: Job) -> None:
    data = {"code": "n99", "zone": "", "x_m": "1", "y_m": "0", "z_m": "0.5"}
    response = estimator_client.post(hull(job, "node_new"), data, follow=True)
    assert "Node N99 has no cableway to the others." in response.content.decode()


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"x_m": "12"}, "Place x: from -1\N{NO-BREAK SPACE}m to 9.6\N{NO-BREAK SPACE}m"),
        ({"z_m": ""}, "Place z: fill this in."),
        ({"code": "N1"}, "Code: N1 is taken by N1."),
    ],
)
def test_bad_node_is_told_at_its_field(
    estimator_client: Client, job: Job, changes: dict[str, str], message: str
) -> None:
    data = {"code": "N99", "zone": "", "x_m": "1", "y_m": "0", "z_m": "0.5", **changes}
    response = estimator_client.post(hull(job, "node_new"), data)
    assert response.status_code == 422
    assert message in response.content.decode()


def test_zone_left_outside_by_a_shorter_vessel_is_told(estimator_client: Client, job: Job) -> None:
    Vessel.objects.filter(pk=job.vessel_id).update(length_m=Decimal(8))
    text = estimator_client.get(hull(job, "hull")).content.decode()
    assert "Zone FD: To x: 8\N{NO-BREAK SPACE}m at most, the hull ends there." in text


def test_customers_are_in_the_trail(estimator_client: Client) -> None:
    estimator_client.post(reverse("jobs:customer_new"), {"name": "Reed"})
    customer = Customer.objects.get()
    address = reverse("jobs:customer", args=[customer.pk])
    estimator_client.post(address, {"name": "Reed and Sedge", "version": customer.version})
    labels = list(AuditEntry.objects.in_scope("customers").values_list("label", flat=True))
    assert labels == ["Customer Reed and Sedge changed", "Customer Reed added"]


def test_stretch_joins_two_different_nodes_once(estimator_client: Client, job: Job) -> None:
    segment = CablewaySegment.objects.filter(vessel=job.vessel).first()
    assert segment is not None
    back = {"cableway": "W9", "start": segment.end_id, "end": segment.start_id}
    same = {"cableway": "W9", "start": segment.end_id, "end": segment.end_id}
    for data, message in (
        (back, f"To node: {segment.cableway} joins {segment.end} and {segment.start} already."),
        (same, "To node: another node than the one it starts from."),
        ({**back, "start": "99999"}, "From node: choose one from the list."),
        ({**back, "length_override_m": "0"}, "Measured length: 0.01\N{NO-BREAK SPACE}m at least."),
    ):
        response = estimator_client.post(hull(job, "segment_new"), data)
        assert response.status_code == 422
        assert message in response.content.decode()


def test_measured_length_replaces_the_straight_one(estimator_client: Client, job: Job) -> None:
    segment = CablewaySegment.objects.filter(vessel=job.vessel).first()
    assert segment is not None
    data = {
        "version": segment.version,
        "cableway": segment.cableway,
        "start": segment.start_id,
        "end": segment.end_id,
        "length_override_m": "4,25",
    }
    assert estimator_client.post(hull(job, "segment", segment.pk), data).status_code == 303
    text = estimator_client.get(hull(job, "hull")).content.decode()
    assert "4.25" in text
    assert "measured" in text


def test_pieces_of_another_vessel_are_not_found(
    estimator_client: Client, job: Job, estimator: User
) -> None:
    other = make_job(estimator)
    zone = zone_of(other, "FD")
    assert estimator_client.get(hull(job, "zone", zone.pk)).status_code == 404
    assert estimator_client.post(hull(job, "zone_remove", zone.pk)).status_code == 404
