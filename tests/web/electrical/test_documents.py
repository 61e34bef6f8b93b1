"""Circuit list, labels and drawing sheets: what they say, as text in the PDF."""

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from electrical import cautions, documents
from electrical.check import check
from electrical.models import Circuit
from electrical.wiring.wire_up import wire_up
from fitout.jobs.models import Job
from fitout.kit.models import User
from tests.factories.electrical import make_small_vessel, usual_loads
from tests.factories.jobs import make_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(estimator: User) -> Job:
    job = make_small_vessel(estimator, loads=usual_loads())
    wire_up(job, estimator)
    Circuit.objects.filter(name="Wash pump").update(name="Wash pump <b>aft</b>")
    return job


def text_of(client: Client, job: Job, name: str) -> str:
    from io import BytesIO

    response = client.get(reverse(f"electrical:{name}", args=[job.number]))
    assert response.status_code == 200
    assert response.headers["Content-Type"] == "application/pdf"
    pages = PdfReader(BytesIO(response.content)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_the_circuit_list_names_every_circuit_and_the_cautions(
    job: Job, estimator_client: Client
) -> None:
    text = text_of(estimator_client, job, "circuit_list")
    for circuit in Circuit.objects.filter(job=job):
        assert circuit.label in text
    assert "Wash pump <b>aft</b>" in text
    assert "Mains (a.c.) work is for licensed electricians only." in text


def test_the_label_list_has_two_labels_for_each_circuit(job: Job, estimator_client: Client) -> None:
    labels = documents.wire_labels(check(job))
    circuits = Circuit.objects.filter(job=job)
    assert len(labels) == 2 * circuits.count()
    assert {(label.text, label.end) for label in labels} == {
        (circuit.label, end) for circuit in circuits for end in "AB"
    }
    assert f"{len(labels)} labels" in text_of(estimator_client, job, "labels")


def test_the_drawing_sheet_has_a_title_block_and_notes(job: Job, estimator_client: Client) -> None:
    text = text_of(estimator_client, job, "schematic")
    assert f"E-{job.number:04d}-01" in text
    assert "Single-line diagram" in text
    assert "For lithium batteries" in text
    for circuit in Circuit.objects.filter(job=job):
        assert circuit.label in text


def test_sheets_are_numbered_and_dated(job: Job) -> None:
    sheets = documents.schematic_sheets(check(job), today=date(2026, 3, 2), revision="A")
    assert [sheet.number for sheet in sheets] == [f"E-{job.number:04d}-01"]
    assert sheets[0].date == "2026-03-02"
    assert sheets[0].revision == "A"
    assert set(cautions.ALL) <= set(sheets[0].notes)


def test_before_wiring_up_the_documents_say_so(estimator: User, estimator_client: Client) -> None:
    job = make_job(estimator)
    assert documents.schematic_sheets(check(job), today=date(2026, 3, 2)) == []
    for name in ("circuit_list", "schematic", "labels"):
        assert "No circuit is drawn yet" in text_of(estimator_client, job, name)


def test_a_technician_may_print_them(job: Job, technician_client: Client) -> None:
    Job.objects.filter(pk=job.pk).update(stage="in_build")
    assert "C01" in text_of(technician_client, job, "circuit_list")
