"""What is short, how it is rounded to packs, and what a sent order keeps."""

import io
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.db import IntegrityError, transaction
from pypdf import PdfReader

from fitout.jobs.models import Job
from fitout.kit.documents import content_of
from fitout.kit.models import User
from fitout.purchasing.followup import FollowUp
from fitout.purchasing.models import OrderStatus, PurchaseOrder
from fitout.purchasing.needs import needs_of, shortages
from fitout.purchasing.ordering import CannotOrder, cancel, propose, send, set_quantity
from tests.factories.jobs import make_job, make_part, make_supplier
from tests.factories.orders import NOW, TODAY, buying_job, days, packed, sent_order


class TestNeeds:
    def test_lines_of_one_part_are_needed_together(self, owner: User) -> None:
        part = make_part(code="FX-1")
        (need,) = needs_of(buying_job(owner, (part, "3"), (part, "4.5")))
        assert (need.quantity, len(need.sources), need.state) == (
            Decimal("7.50"),
            2,
            FollowUp.NEEDED,
        )

    def test_a_breaker_of_a_kit_is_not_bought_again_for_its_circuit(
        self, owner: User, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        breaker = make_part(code="BR-100", kind="protective_device")
        label = make_part(code="LB-1")
        job = buying_job(owner, (breaker, "2"), (label, "2"))
        asked = [
            SimpleNamespace(part=part, quantity=Decimal(1), circuit=SimpleNamespace(label=circuit))
            for circuit in ("C01", "C02", "C03")
            for part in (breaker, label)
        ]
        monkeypatch.setattr("fitout.purchasing.needs.circuit_needs", lambda _: asked)
        needs = {need.part.code: need for need in needs_of(job)}
        assert needs["BR-100"].quantity == Decimal(3)
        words = [source.label for source in needs["BR-100"].sources[1:]]
        assert words == ["C01, from the build sheet", "C02, from the build sheet", "C03"]
        assert needs["LB-1"].quantity == Decimal(5)

    def test_a_length_partly_on_the_sheet_is_topped_up(
        self, owner: User, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        cable = make_part(code="CA-6", kind="cable", unit="m")
        job = buying_job(owner, (cable, "4"))
        run = SimpleNamespace(
            part=cable, quantity=Decimal("6.5"), circuit=SimpleNamespace(label="C01")
        )
        monkeypatch.setattr("fitout.purchasing.needs.circuit_needs", lambda _: [run])
        (need,) = needs_of(job)
        assert need.quantity == Decimal("6.5")
        assert need.sources[1].label == "C01, 4 of it from the build sheet"

    @pytest.mark.parametrize(
        ("needed", "pack", "minimum", "ordered"),
        [
            ("12.4", "25", "1", "25"),
            ("26", "25", "1", "50"),
            ("2", "1", "10", "10"),
            ("25", "25", "25", "25"),
        ],
    )
    def test_quantity_is_rounded_up_to_packs_and_minimum(
        self, owner: User, needed: str, pack: str, minimum: str, ordered: str
    ) -> None:
        part = make_part(code="CA-1", unit="m")
        packed(part, pack=pack, minimum=minimum)
        (need,) = needs_of(buying_job(owner, (part, needed)))
        assert need.order_quantity == Decimal(ordered)

    def test_rounding_is_explained(self, owner: User) -> None:
        part = make_part(code="CA-1", unit="m")
        packed(part, pack="25")
        (need,) = needs_of(buying_job(owner, (part, "12.4")))
        assert need.rounding == "12.4 m missing, packs of 25: 25 m"

    def test_an_offer_no_longer_made_is_not_ordered_from(self, owner: User) -> None:
        part = make_part()
        part.offers.update(preferred=False, active=False)
        (need,) = needs_of(buying_job(owner, (part, "1")))
        assert need.offer is None
        assert need.order_quantity == 0

    def test_option_not_taken_is_not_needed(self, owner: User) -> None:
        job = buying_job(owner, (make_part(), "1"))
        job.lines.update(choice="option", taken=False)
        assert needs_of(job) == []


class TestOrders:
    def test_number_comes_at_sending_without_gaps(self, owner: User) -> None:
        first = sent_order(buying_job(owner, (make_part(), "1")), owner)
        other = buying_job(owner, (make_part(), "1"))
        (draft,) = propose(other, by=owner, today=TODAY)
        Job.objects.filter(pk=other.pk).update(stage="closed")
        with pytest.raises(CannotOrder):
            send(draft, by=owner, at=NOW, today=TODAY)
        Job.objects.filter(pk=other.pk).update(stage="accepted")
        second = send(draft, by=owner, at=NOW, today=TODAY)
        assert (second.sequence or 0) - (first.sequence or 0) == 1

    def test_due_date_is_the_longest_lead_time(self, owner: User) -> None:
        supplier = make_supplier()
        quick, slow = make_part(), make_part()
        for part, lead_days in ((quick, 3), (slow, 21)):
            offer = packed(part, lead_days=lead_days)
            offer.supplier = supplier
            offer.save()
        order = sent_order(buying_job(owner, (quick, "1"), (slow, "1")), owner)
        assert order.due_on == TODAY + days(21)

    def test_proposing_again_fills_the_draft_only_with_what_is_still_short(
        self, owner: User
    ) -> None:
        job = buying_job(owner, (make_part(), "4"))
        propose(job, by=owner, today=TODAY)
        assert propose(job, by=owner, today=TODAY) == []
        assert PurchaseOrder.objects.get(job=job).lines.get().quantity == 4

    def test_pdf_names_supplier_codes_and_total(self, owner: User) -> None:
        part = make_part(code="PU-63", cost="12.50", description="Bilge pump, 63 l/min")
        order = sent_order(buying_job(owner, (part, "4")), owner)
        assert order.document is not None
        reader = PdfReader(io.BytesIO(content_of(order.document)))
        text = "\n".join(page.extract_text() for page in reader.pages)
        text = text.replace("\N{NO-BREAK SPACE}", " ")
        for words in (
            order.number,
            order.supplier.name,
            "S-PU-63",
            "Bilge pump, 63 l/min",
            "€50.00",
        ):
            assert words in text

    def test_sent_order_is_frozen_by_the_database(self, owner: User) -> None:
        order = sent_order(buying_job(owner, (make_part(), "1")), owner)
        with pytest.raises(IntegrityError, match="frozen"), transaction.atomic():
            order.lines.update(quantity=9)
        with pytest.raises(IntegrityError, match="frozen"), transaction.atomic():
            PurchaseOrder.objects.filter(pk=order.pk).update(carriage=Decimal(1))

    def test_quantity_that_breaks_a_pack_is_refused(self, owner: User) -> None:
        part = make_part(code="CA-1", unit="m")
        packed(part, pack="25")
        (draft,) = propose(buying_job(owner, (part, "12")), by=owner, today=TODAY)
        with pytest.raises(CannotOrder) as trouble:
            set_quantity(draft.lines.get(), Decimal(30), by=owner)
        assert str(trouble.value) == (
            "Quantity of CA-1: sold in packs of 25 m; 30 is not a whole number of packs."
        )

    def test_order_already_with_the_supplier_is_cancelled_only_with_a_reason(
        self, owner: User
    ) -> None:
        order = sent_order(buying_job(owner, (make_part(), "1")), owner)
        with pytest.raises(CannotOrder, match="Reason: say why"):
            cancel(order, by=owner)
        cancel(order, by=owner, reason="Customer brings it")
        order.refresh_from_db()
        assert order.status == OrderStatus.CANCELLED

    def test_parts_are_not_ordered_before_the_quote_is_accepted(self, owner: User) -> None:
        with pytest.raises(CannotOrder, match="parts are ordered once the quote is accepted"):
            propose(make_job(owner), by=owner, today=TODAY)


def test_late_order_stands_first_among_the_shortages(owner: User) -> None:
    ordered, missing = make_part(code="ZZ-LATE"), make_part(code="AA-MISSING")
    job = buying_job(owner, (ordered, "2"))
    sent_order(job, owner)
    from fitout.jobs import sheet
    from tests.factories.jobs import zone_of

    Job.objects.filter(pk=job.pk).update(stage="in_build")
    job.refresh_from_db()
    sheet.add_part(job, zone_of(job, "HM"), missing, by=owner)
    found = shortages(needs_of(job), TODAY + days(12))
    assert [shortage.words for shortage in found] == ["2 pc late by 5 days", "1 pc not ordered"]
