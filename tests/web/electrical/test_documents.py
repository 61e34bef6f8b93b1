"""Circuit list, labels and drawing sheets: what they say, as text in the PDF."""

from datetime import date
from io import BytesIO

import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from electrical import cautions, documents
from electrical.check import check
from electrical.models import Bond, Circuit, Earthing
from electrical.wiring.wire_up import wire_up
from fitout.jobs.models import Job
from fitout.kit.models import User
from tests.factories.electrical import make_small_vessel, usual_loads
from tests.factories.jobs import make_job

pytestmark = pytest.mark.django_db

NBSP = "\N{NO-BREAK SPACE}"
MM = 72 / 25.4


@pytest.fixture
def job(estimator: User) -> Job:
    job = make_small_vessel(estimator, loads=usual_loads())
    wire_up(job, estimator)
    Circuit.objects.filter(name="Wash pump").update(name="Wash pump <b>aft</b>")
    return job


def text_of(client: Client, job: Job, name: str) -> str:
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
    assert "Mains (AC) work is for licensed electricians only." in text


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


def test_every_note_and_caution_stands_within_the_frame(job: Job, estimator_client: Client) -> None:
    response = estimator_client.get(reverse("electrical:schematic", args=[job.number]))
    page = PdfReader(BytesIO(response.content)).pages[0]
    places: dict[str, tuple[float, float]] = {}

    def keep(words: str, cm: list[float], tm: list[float], *_: object) -> None:
        x, y = tm[4] * cm[0] + cm[4], tm[5] * cm[3] + cm[5]
        places.setdefault(" ".join(words.split()), (x / MM, y / MM))

    page.extract_text(visitor_text=keep)
    for first in ("Labels at both", "Mains (AC)", "For lithium", "Disconnect electronics"):
        found = [place for words, place in places.items() if words.startswith(first)]
        assert found, first
        assert all(20 < x < 225 and 12 < y < 66 for x, y in found), (first, found)


@pytest.mark.parametrize(
    ("way", "words"),
    [
        ("", "How the d.c. system meets earth is not told."),
        ("negative", "The d.c. negative is earthed; hull and body carry no current."),
        ("return", "Hull or body is the return conductor: it carries current."),
    ],
)
def test_the_drawing_says_of_earth_what_was_told(job: Job, way: str, words: str) -> None:
    Earthing.objects.create(job=job, way=way)
    sheets = documents.schematic_sheets(check(job), today=date(2026, 3, 2))
    assert words in sheets[0].notes[0]


def test_earthing_and_bonding_stand_below_the_circuit_list(
    job: Job, estimator_client: Client
) -> None:
    assert "No bonding conductor is entered." in text_of(estimator_client, job, "circuit_list")
    Earthing.objects.create(job=job, way="negative", joints=1)
    circuit = Circuit.objects.filter(job=job).first()
    Bond.objects.create(job=job, name="Fuel tank", size_mm2=10, colour="green", circuit=circuit)
    text = text_of(estimator_client, job, "circuit_list")
    assert "How it meets earth Negative earthed" in text
    assert circuit is not None
    assert f"Fuel tank 10 mm² green {circuit.label}" in text


def test_protection_is_told_with_kind_and_with_the_end_it_stands_at(job: Job) -> None:
    circuit = Circuit.objects.filter(job=job, protection__isnull=False).first()
    assert circuit is not None
    assert circuit.protection is not None
    rating = circuit.protection.protectivedevicedata
    kind = str(rating.get_device_display()).split(",")[0]
    near = f"{rating.rating_a.normalize():f} A {kind}".lower()
    (row,) = (row for row in documents.listing_of(check(job)).rows if row.circuit == circuit)
    assert row.protection.replace(NBSP, " ").lower() == near
    Circuit.objects.filter(pk=circuit.pk).update(end_protection=circuit.protection, protection=None)
    (row,) = (row for row in documents.listing_of(check(job)).rows if row.circuit == circuit)
    assert row.protection.replace(NBSP, " ").lower() == f"{near} at {row.to_text}".lower()


def test_a_label_says_that_its_circuit_stays_live(job: Job, estimator_client: Client) -> None:
    Circuit.objects.filter(job=job).update(always_live=False)
    assert "stays live" not in text_of(estimator_client, job, "labels")
    first = Circuit.objects.filter(job=job)[:1]
    Circuit.objects.filter(pk__in=first.values("pk")).update(always_live=True)
    assert text_of(estimator_client, job, "labels").count("stays live") == 2


def test_no_word_of_a_label_runs_into_the_next(job: Job, estimator_client: Client) -> None:
    Circuit.objects.filter(job=job).update(name="Unbroken" * 12)
    response = estimator_client.get(reverse("electrical:labels", args=[job.number]))
    widths: list[float] = []

    def keep(words: str, cm: list[float], tm: list[float], *_: object) -> None:
        if "broken" in words:
            widths.append(max(len(part) for part in words.split()))

    PdfReader(BytesIO(response.content)).pages[0].extract_text(visitor_text=keep)
    assert widths
    assert max(widths) < 24


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
