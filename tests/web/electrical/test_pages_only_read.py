"""Opening a page of the wiring changes nothing, even where devices are behind."""

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from electrical.models import Circuit, Device
from electrical.wiring.wire_up import wire_up
from fitout.jobs.models import Job, Line
from fitout.kit.models import User
from tests.factories.electrical import make_small_vessel, usual_loads

pytestmark = pytest.mark.django_db
READ = ("wiring", "together", "data_backbone", "energy", "energy_year", "circuit_new")
WRITES = ("INSERT", "UPDATE", "DELETE")


@pytest.fixture
def job(estimator: User) -> Job:
    job = make_small_vessel(estimator, loads=usual_loads())
    Job.objects.filter(pk=job.pk).update(stage="in_build")
    wire_up(job, estimator)
    # Past the audit trail, so that nothing followed.
    Line.objects.filter(job=job, description="Wash pump").update(quantity=3)
    return job


def written(client: Client, address: str) -> list[str]:
    with CaptureQueriesContext(connection) as captured:
        assert client.get(address).status_code == 200
    statements = [query["sql"] for query in captured.captured_queries]
    return [sql for sql in statements if sql.startswith(WRITES) and "electrical_" in sql]


@pytest.mark.parametrize("name", READ)
def test_a_page_of_a_job_writes_nothing(job: Job, estimator_client: Client, name: str) -> None:
    assert written(estimator_client, reverse(f"electrical:{name}", args=[job.number])) == []


def test_pages_of_one_circuit_and_one_device_write_nothing(
    job: Job, estimator_client: Client
) -> None:
    circuit = Circuit.objects.filter(job=job).first()
    device = Device.objects.filter(job=job).first()
    assert circuit is not None
    assert device is not None
    for name, pk in (("circuit", circuit.pk), ("circuit_edit", circuit.pk), ("device", device.pk)):
        address = reverse(f"electrical:{name}", args=[job.number, pk])
        assert written(estimator_client, address) == []


def test_the_wiring_says_how_many_differ_and_brings_them_in_line(
    job: Job, estimator_client: Client
) -> None:
    wiring = reverse("electrical:wiring", args=[job.number])
    text = estimator_client.get(wiring).content.decode()
    assert "devices differ from the build sheet" in text
    address = reverse("electrical:follow_sheet", args=[job.number])
    assert estimator_client.post(address).status_code == 303
    assert Device.objects.filter(job=job, name__startswith="Wash pump").count() == 3
    assert "from the build sheet, since" not in estimator_client.get(wiring).content.decode()


def test_a_technician_is_told_but_cannot_act(
    job: Job, technician: User, technician_client: Client
) -> None:
    Job.objects.filter(pk=job.pk).update(lead=technician)
    address = reverse("electrical:follow_sheet", args=[job.number])
    text = technician_client.get(reverse("electrical:wiring", args=[job.number])).content.decode()
    assert "differ from the build sheet" in text
    assert address not in text
    assert technician_client.post(address).status_code == 403
