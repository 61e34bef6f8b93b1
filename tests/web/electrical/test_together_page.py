"""The page that compares what stands with a choice for all circuits together."""

import pytest
from bs4 import BeautifulSoup
from django.test import Client
from django.urls import reverse

from catalogue.models import Part
from electrical.models import Circuit
from electrical.wiring.wire_up import wire_up
from fitout.jobs.models import Job
from fitout.kit.models import User
from tests.factories.electrical import make_small_vessel, usual_loads

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(estimator: User) -> Job:
    job = make_small_vessel(estimator, loads=usual_loads())
    Job.objects.filter(pk=job.pk).update(stage="in_build")
    wire_up(job, estimator)
    thick = Part.objects.get(cabledata__size_mm2=16, cabledata__colour="red")
    Circuit.objects.filter(job=job).update(cable=thick)
    return job


def url(job: Job, name: str = "together") -> str:
    return reverse(f"electrical:{name}", args=[job.number])


def shown(client: Client, job: Job) -> BeautifulSoup:
    response = client.get(url(job))
    assert response.status_code == 200
    return BeautifulSoup(response.content, "html.parser")


@pytest.fixture
def asked(job: Job, estimator_client: Client, django_capture_on_commit_callbacks: object) -> Job:
    with django_capture_on_commit_callbacks(execute=True):  # type: ignore[operator]
        assert estimator_client.post(url(job, "together_ask")).status_code == 303
    return job


def test_the_wiring_leads_to_it_and_it_starts_with_what_it_would_do(
    job: Job, estimator_client: Client
) -> None:
    wiring = BeautifulSoup(estimator_client.get(url(job, "wiring")).content, "html.parser")
    assert wiring.select_one(f'a[href="{url(job)}"]') is not None
    assert "Choose cables and fuses together" in shown(estimator_client, job).text


def test_it_compares_three_ways_and_tells_each_change(asked: Job, estimator_client: Client) -> None:
    soup = shown(estimator_client, asked)
    heads = soup.select("table")[0].select("tbody th")
    ways = [head.get_text(" ", strip=True) for head in heads]
    assert [way.split(" as ")[0] for way in ways] == [
        "As it stands",
        "One circuit at a time",
        "All together",
    ]
    pump = Circuit.objects.get(job=asked, name="Wash pump")
    row = next(r for r in soup.select("table")[1].select("tbody tr") if pump.label in r.text)
    assert "16\N{NO-BREAK SPACE}mm² to" in row.text
    assert "€" in row.text
    assert "Proven" in soup.text


def test_use_these_fits_them_and_the_wiring_offers_undo(
    asked: Job, estimator_client: Client
) -> None:
    response = estimator_client.post(url(asked, "together_use"), follow=True)
    soup = BeautifulSoup(response.content, "html.parser")
    assert "have the cable and fuse chosen together" in soup.text
    assert soup.select_one("#undo-bar form") is not None
    assert Circuit.objects.filter(job=asked, chosen_together=True).count() > 0


def test_what_changed_since_must_be_worked_out_again(asked: Job, estimator_client: Client) -> None:
    circuit = Circuit.objects.filter(job=asked).first()
    assert circuit is not None
    circuit.save_if_version(circuit.version)
    assert "Have it worked out again" in shown(estimator_client, asked).text
    response = estimator_client.post(url(asked, "together_use"), follow=True)
    assert "was changed since" in response.content.decode()
    assert not Circuit.objects.filter(job=asked, chosen_together=True).exists()


def test_a_technician_sees_the_change_but_no_cost_and_may_not_act(
    asked: Job, technician: User, technician_client: Client
) -> None:
    Job.objects.filter(pk=asked.pk).update(lead=technician)
    soup = shown(technician_client, asked)
    assert "16\N{NO-BREAK SPACE}mm² to" in soup.text
    together = soup.select_one("#together")
    assert together is not None
    assert "€" not in together.text
    assert "cost" not in together.text
    assert together.select_one("form") is None
    assert technician_client.post(url(asked, "together_ask")).status_code == 403
    assert technician_client.post(url(asked, "together_use")).status_code == 403


def test_without_a_choice_there_is_nothing_to_use(job: Job, estimator_client: Client) -> None:
    response = estimator_client.post(url(job, "together_use"), follow=True)
    assert "have it worked out first" in response.content.decode()
