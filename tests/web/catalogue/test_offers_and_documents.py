from datetime import date
from decimal import Decimal
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader, PdfWriter

from catalogue.models import LoadData, Part, PartDocument, SupplierPart
from tests.factories.jobs import make_part, make_supplier
from tests.web.catalogue.messages import errors_of

pytestmark = pytest.mark.django_db


def offer_data(**changes: str) -> dict[str, str]:
    return {
        "supplier_code": "X-1",
        "cost": "12,50",
        "price_date": "2026-05-04",
        "pack_quantity": "1",
        "minimum_order": "1",
        "lead_days": "7",
        "preferred": "on",
        "active": "on",
        **changes,
    }


def test_an_offer_is_added_and_gives_the_part_its_cost(owner_client: Client) -> None:
    part, supplier = make_part(cost=None), make_supplier()
    url = reverse("catalogue:new_offer", args=[part.pk])
    answer = owner_client.post(url, offer_data(supplier=str(supplier.pk)))
    assert answer.status_code == 303
    offer = SupplierPart.objects.get()
    assert (offer.cost, offer.price_date) == (Decimal("12.50"), date(2026, 5, 4))
    assert Part.objects.with_cost().get().cost == Decimal("12.50")  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"cost": "-0.01"}, "Cost each: 0 € per pc at least."),
        ({"cost": "1.234"}, "Cost each: at most 2 decimals."),
        ({"cost": "1e9"}, "Cost each: write a number"),
        ({"cost": "2000000"}, "Cost each: 1,000,000 € per pc at most."),
        ({"pack_quantity": "0"}, "Pack quantity: 0.01"),
        ({"lead_days": "731"}, "Lead time: 730 days at most."),
        ({"price_date": "31/31/2026"}, "Price date: write a date"),
        ({"supplier": "31337"}, "Supplier: choose one from the list."),
        ({"active": ""}, "Buy here first: only an offer still made can come first."),
    ],
)
def test_bad_offers_are_refused_at_their_field(
    owner_client: Client, changes: dict[str, str], message: str
) -> None:
    part, supplier = make_part(cost=None), make_supplier()
    data = offer_data(supplier=str(supplier.pk)) | changes
    if changes.get("active") == "":
        del data["active"]
    answer = owner_client.post(reverse("catalogue:new_offer", args=[part.pk]), data)
    assert answer.status_code == 422
    assert message in errors_of(answer.content)
    assert not SupplierPart.objects.exists()


def test_a_second_offer_of_the_same_supplier_is_refused(owner_client: Client) -> None:
    part = make_part()
    supplier = part.offers.get().supplier
    url = reverse("catalogue:new_offer", args=[part.pk])
    answer = owner_client.post(url, offer_data(supplier=str(supplier.pk)))
    assert answer.status_code == 422
    assert "Supplier: there is an offer of this supplier already" in errors_of(answer.content)


def test_an_offer_of_another_part_is_not_found(owner_client: Client) -> None:
    offer = make_part().offers.get()
    url = reverse("catalogue:change_offer", args=[make_part().pk, offer.pk])
    assert owner_client.get(url).status_code == 404


def pdf() -> SimpleUploadedFile:
    made = BytesIO()
    writer = PdfWriter()
    writer.add_blank_page(width=200, height=200)
    writer.write(made)
    return SimpleUploadedFile("manual.pdf", made.getvalue(), content_type="application/pdf")


def test_a_pdf_is_stored_and_a_technician_may_open_it(
    owner_client: Client, technician_client: Client
) -> None:
    part = make_part()
    url = reverse("catalogue:new_part_document", args=[part.pk])
    answer = owner_client.post(url, {"title": "Manual", "file": pdf()})
    assert answer.status_code == 303, errors_of(answer.content)
    document = PartDocument.objects.get()
    assert document.document is not None
    page = technician_client.get(part.get_absolute_url()).content.decode()
    link = reverse("kit:document", args=[document.document.pk])
    assert link in page
    opened = technician_client.get(link)
    assert opened.content.startswith(b"%PDF-")
    assert opened.headers["Content-Type"] == "application/pdf"


def test_a_link_may_stand_in_place_of_a_file(owner_client: Client) -> None:
    part = make_part()
    url = reverse("catalogue:new_part_document", args=[part.pk])
    owner_client.post(url, {"title": "Drawing", "link": "https://drawings.example/1"})
    page = owner_client.get(part.get_absolute_url()).content.decode()
    assert 'href="https://drawings.example/1"' in page


@pytest.mark.parametrize(
    ("data", "message"),
    [
        ({"title": "X"}, "PDF: choose a file, or give a link instead."),
        ({"title": "X", "link": "javascript:alert(1)"}, "Or a link:"),
        ({"title": "", "link": "https://a.example/"}, "Title: fill this in."),
    ],
)
def test_bad_documents_are_refused(
    owner_client: Client, data: dict[str, str], message: str
) -> None:
    url = reverse("catalogue:new_part_document", args=[make_part().pk])
    answer = owner_client.post(url, data)
    assert answer.status_code == 422
    assert message in errors_of(answer.content)
    assert not PartDocument.objects.exists()


def test_a_disguised_file_is_refused(owner_client: Client) -> None:
    url = reverse("catalogue:new_part_document", args=[make_part().pk])
    disguised = SimpleUploadedFile("manual.pdf", b"MZ not a pdf", content_type="application/pdf")
    answer = owner_client.post(url, {"title": "Manual", "file": disguised})
    assert answer.status_code == 422
    assert "PDF: this is not a PDF." in errors_of(answer.content)


def test_a_document_is_removed_from_its_part(owner_client: Client) -> None:
    part = make_part()
    document = PartDocument.objects.create(part=part, title="Old", link="https://a.example/")
    url = reverse("catalogue:remove_part_document", args=[part.pk, document.pk])
    assert owner_client.get(url).status_code == 405
    assert owner_client.post(url).status_code == 303
    assert not PartDocument.objects.exists()


def test_a_data_sheet_tells_a_technician_the_figures_and_nothing_about_money(
    technician_client: Client,
) -> None:
    part = make_part(code="LI-7", description="Deck flood", kind="load", cost="41.37")
    LoadData.objects.create(
        part=part, nominal_v=12, current_a="3.333", nature="constant_power", function="light"
    )
    answer = technician_client.get(reverse("catalogue:data_sheet", args=[part.pk]))
    assert answer.headers["Content-Type"] == "application/pdf"
    text = " ".join(page.extract_text() for page in PdfReader(BytesIO(answer.content)).pages)
    for told in ("LI-7", "Deck flood", "Running current", "3.333", "licensed person"):
        assert told in text
    assert "41.37" not in text
    assert "€" not in text
