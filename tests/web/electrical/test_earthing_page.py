"""The page of earthing and bonding: what is told there is what the rules judge."""

import pytest
from bs4 import BeautifulSoup
from django.test import Client
from django.urls import reverse

from electrical.check import check
from electrical.core.findings import Finding, Severity
from electrical.models import Bond, Earthing
from electrical.wiring.wire_up import wire_up
from fitout.jobs.models import Job
from fitout.kit.models import AuditEntry, User
from tests.factories.electrical import make_load, make_small_vessel

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(estimator: User) -> Job:
    job = make_small_vessel(estimator, loads=[(make_load("Fridge", current_a="4"), "HM")])
    Job.objects.filter(pk=job.pk).update(stage="in_build")
    wire_up(job, estimator)
    return job


def url(job: Job, name: str = "earthing", *args: int) -> str:
    return reverse(f"electrical:{name}", args=[job.number, *args])


def finding(job: Job, rule_id: str) -> Finding:
    result = check(job).result
    assert result is not None
    (found,) = [one for one in result.checks if one.rule_id == rule_id]
    return found


def tell(client: Client, job: Job, *, way: str, joints: str) -> int:
    stored = Earthing.objects.filter(job=job).first()
    version = str(stored.version) if stored else ""
    data = {"way": way, "joints": joints, "version": version}
    return client.post(url(job, "earthing_save"), data).status_code


def test_nobody_has_told_yet(job: Job, estimator_client: Client) -> None:
    assert finding(job, "earthing").severity is Severity.CANNOT_TELL
    page = estimator_client.get(url(job)).content.decode()
    assert "way its negative is earthed" in page
    wiring = BeautifulSoup(estimator_client.get(url(job, "wiring")).content, "html.parser")
    (told,) = [item for item in wiring.select(".finding") if "negative is earthed" in item.text]
    assert told.select_one(f'a[href="{url(job)}"]') is not None


def test_one_joint_is_right_and_two_are_not(job: Job, estimator_client: Client) -> None:
    assert tell(estimator_client, job, way="negative", joints="2") == 303
    assert finding(job, "earthing").severity is Severity.PASS
    found = finding(job, "one-negative")
    assert found.severity in {Severity.STOP, Severity.ATTENTION}
    assert (found.value, found.limit) == (2.0, 1.0)
    assert "at 2 places" in estimator_client.get(url(job)).content.decode()
    assert tell(estimator_client, job, way="negative", joints="1") == 303
    assert finding(job, "one-negative").severity is Severity.PASS


def test_a_positive_earth_stops(job: Job, estimator_client: Client) -> None:
    tell(estimator_client, job, way="positive", joints="1")
    assert finding(job, "earthing").severity is Severity.STOP


def test_a_bonding_conductor_is_judged_and_taken_away_again(
    job: Job, estimator_client: Client
) -> None:
    bond = {"name": "Fuel tank", "size_mm2": "0,75", "colour": "red"}
    assert estimator_client.post(url(job, "bond"), bond).status_code == 303
    assert finding(job, "bonding").severity is Severity.ATTENTION
    page = estimator_client.get(url(job)).content.decode()
    assert "Fuel tank is bonded with 0.75\N{NO-BREAK SPACE}mm²" in page
    assert "Fuel tank is bonded in red; bonding is green." in page
    again = estimator_client.post(url(job, "bond"), bond)
    assert again.status_code == 422
    assert "Fuel tank is bonded already" in again.content.decode()
    stored = Bond.objects.get(job=job)
    assert estimator_client.post(url(job, "bond_remove", stored.pk)).status_code == 303
    assert not Bond.objects.exists()
    entry = AuditEntry.objects.in_scope(job.scope).order_by("-pk")[0]
    estimator_client.post(reverse("kit:undo", args=[entry.pk]))
    assert Bond.objects.get(job=job).name == "Fuel tank"


def test_what_may_not_be_told_any_more_may_not_be_undone(
    job: Job, estimator_client: Client
) -> None:
    tell(estimator_client, job, way="negative", joints="1")
    estimator_client.post(url(job, "bond"), {"name": "Fuel tank", "size_mm2": "10"})
    Job.objects.filter(pk=job.pk).update(stage="closed")
    entries = AuditEntry.objects.in_scope(job.scope).filter(can_be_undone=True).order_by("-pk")[:3]
    assert [entry.label for entry in entries][-1] == "Wire up"
    for entry in entries:
        answer = estimator_client.post(reverse("kit:undo", args=[entry.pk]), follow=True)
        assert "may not be changed any more at the stage" in answer.content.decode()
    assert Earthing.objects.filter(job=job).exists()
    assert Bond.objects.filter(job=job).exists()
    assert job.circuits.exists()


@pytest.mark.parametrize(
    ("name", "data", "message"),
    [
        ("earthing_save", {"way": "negative", "joints": "51"}, "50 at most"),
        ("bond", {"name": "Mast", "size_mm2": "0.1"}, "0.5\N{NO-BREAK SPACE}mm² at least"),
        ("bond", {"name": "", "size_mm2": "10"}, "What is bonded"),
    ],
)
def test_a_wrong_value_is_named_at_its_field(
    job: Job, estimator_client: Client, name: str, data: dict[str, str], message: str
) -> None:
    response = estimator_client.post(url(job, name), data)
    assert response.status_code == 422
    soup = BeautifulSoup(response.content, "html.parser")
    errors = " ".join(one.get_text(" ") for one in soup.select(".errorlist li, .problem p"))
    assert message in errors
    assert not Bond.objects.exists()


def test_an_overtaken_answer_shows_both(
    job: Job, estimator_client: Client, owner_client: Client
) -> None:
    tell(owner_client, job, way="negative", joints="1")
    old = {"way": "insulated", "joints": "0", "version": "1"}
    tell(owner_client, job, way="negative", joints="3")
    response = estimator_client.post(url(job, "earthing_save"), old)
    assert response.status_code == 409
    assert Earthing.objects.get(job=job).joints == 3


def test_a_technician_reads_but_does_not_change(job: Job, technician_client: Client) -> None:
    page = technician_client.get(url(job))
    assert page.status_code == 200
    assert b"Save earthing" not in page.content
    assert technician_client.post(url(job, "bond"), {"name": "Tank"}).status_code == 403
