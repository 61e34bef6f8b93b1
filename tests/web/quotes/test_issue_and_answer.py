"""A quote from the build sheet to the customer's signature, through the pages."""

import io
import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from fitout.jobs import sheet
from fitout.jobs.models import Job, Stage
from fitout.kit.documents import content_of
from fitout.kit.models import User
from quotes.models import Acceptance, JobTerms, MarkUp, Revision
from tests.factories.jobs import make_job, make_operation, make_part, make_trade, zone_of

SECRET_COST = "317.61"


@pytest.fixture
def job(estimator: User) -> Job:
    """An included pump at €317.61 with 30 % mark-up, and an optional lamp."""
    MarkUp.objects.create(category="", mark_up_pct=Decimal(30))
    job = make_job(estimator)
    pump = make_part(code="PU-1", cost=SECRET_COST, description="Bilge pump, 63 l/min")
    lamp = make_part(code="LI-1", cost="100.00", description="Deck flood, 40 W")
    sheet.add_part(job, zone_of(job, "HB"), pump, by=estimator)
    option = sheet.Details(choice="option")
    sheet.add_part(job, zone_of(job, "HM"), lamp, by=estimator, details=option)
    return job


def issue(client: Client, job: Job) -> Revision:
    client.post(reverse("quotes:issue", args=[job.number]))
    return Revision.objects.filter(job=job).latest("sequence")


def pdf_text(revision: Revision) -> str:
    assert revision.document is not None
    reader = PdfReader(io.BytesIO(content_of(revision.document)))
    text = "\n".join(page.extract_text() for page in reader.pages)
    return text.replace("\N{NO-BREAK SPACE}", " ")


def accept_by_link(
    client: Client, revision: Revision, *options: int, name: str = "Noor Pascoe"
) -> int:
    data = {"name": name, "agreed": "on", "options": [str(pk) for pk in options]}
    return client.post(reverse("quotes:link-accept", args=[revision.token]), data).status_code


class TestIssue:
    def test_first_revision_is_a_and_moves_the_job_to_quoted(
        self, estimator_client: Client, job: Job
    ) -> None:
        revision = issue(estimator_client, job)
        job.refresh_from_db()
        assert (revision.number, job.stage) == (f"Q-{job.number:04d}-A", Stage.QUOTED)

    def test_totals_are_those_of_the_sheet(self, estimator_client: Client, job: Job) -> None:
        revision = issue(estimator_client, job)
        # 317.61 × 1.30 = 412.893, printed 412.89; VAT 23 % of it is 94.96
        assert (revision.net_total, revision.tax_total, revision.gross_total) == (
            Decimal("412.89"),
            Decimal("94.96"),
            Decimal("507.85"),
        )

    def test_pdf_holds_number_lines_and_price_but_no_cost(
        self, estimator_client: Client, job: Job
    ) -> None:
        text = pdf_text(issue(estimator_client, job))
        assert f"Q-{job.number:04d}-A" in text
        assert "Bilge pump, 63 l/min" in text
        assert "€507.85" in text
        assert SECRET_COST not in text

    @pytest.mark.parametrize("lines", [1, 14, 17, 20, 23])
    def test_the_signature_never_stands_on_a_page_of_its_own(
        self, estimator_client: Client, job: Job, estimator: User, lines: int
    ) -> None:
        words = "\n".join(f"Term {number} holds until it is changed." for number in range(1, 8))
        JobTerms.objects.update_or_create(job=job, defaults={"terms": words})
        for _ in range(lines):
            sheet.add_part(job, zone_of(job, "HB"), make_part(), by=estimator)
        revision = issue(estimator_client, job)
        assert revision.document is not None
        pages = PdfReader(io.BytesIO(content_of(revision.document))).pages
        signed = [page.extract_text() for page in pages if "Signature" in page.extract_text()]
        assert len(signed) == 1
        assert "Term 1 holds" in signed[0]
        assert "Term 7 holds" in signed[0]

    def test_next_revision_supersedes_the_one_before(
        self, estimator_client: Client, job: Job
    ) -> None:
        first = issue(estimator_client, job)
        second = issue(estimator_client, job)
        first.refresh_from_db()
        assert (first.status, second.number) == ("superseded", f"Q-{job.number:04d}-B")

    def test_empty_sheet_is_not_issued_and_says_why(
        self, estimator_client: Client, estimator: User
    ) -> None:
        bare = make_job(estimator)
        url = reverse("quotes:issue", args=[bare.number])
        page = estimator_client.post(url, follow=True).content.decode()
        assert "The build sheet has no included line to quote." in page
        assert not Revision.objects.filter(job=bare).exists()

    def test_issued_revision_is_frozen_by_the_database(
        self, estimator_client: Client, job: Job
    ) -> None:
        revision = issue(estimator_client, job)
        with pytest.raises(IntegrityError, match="frozen"), transaction.atomic():
            Revision.objects.filter(pk=revision.pk).update(net_total=Decimal(1))
        with pytest.raises(IntegrityError, match="append-only"), transaction.atomic():
            revision.lines.all().delete()


class TestTerms:
    def test_payment_stages_that_miss_100_percent_are_refused_at_the_field(
        self, estimator_client: Client, job: Job
    ) -> None:
        data = {
            "validity_days": "30",
            "discount_pct": "0",
            "subcontract_mark_up_pct": "12",
            "payment_plan": "50, On acceptance\n40, Handover",
        }
        response = estimator_client.post(reverse("quotes:terms", args=[job.number]), data)
        assert response.status_code == 422
        assert "Payment stages: they sum to 90 %; 100 % needed." in response.content.decode()
        assert not JobTerms.objects.exists()

    def test_discount_with_decimal_comma_lowers_the_next_revision(
        self, estimator_client: Client, job: Job
    ) -> None:
        data = {
            "validity_days": "14",
            "discount_pct": "2,5",
            "discount_reason": "Second vessel",
            "subcontract_mark_up_pct": "12",
            "payment_plan": "100, Handover",
        }
        estimator_client.post(reverse("quotes:terms", args=[job.number]), data)
        revision = issue(estimator_client, job)
        assert revision.discount_total == Decimal("10.32")  # 2.5 % of 412.89
        assert revision.valid_until == timezone.localdate() + timedelta(days=14)


class TestCustomerLink:
    def test_page_shows_the_price_but_never_cost_or_margin(
        self, estimator_client: Client, anonymous_client: Client, job: Job
    ) -> None:
        revision = issue(estimator_client, job)
        page = anonymous_client.get(reverse("quotes:link", args=[revision.token])).content.decode()
        assert "€507.85" in page
        assert SECRET_COST not in page
        assert not re.search(r"\bmargin\b|\bmark-up\b", page, re.IGNORECASE)

    def test_payment_stages_stand_on_a_bar_as_wide_as_the_whole(
        self, estimator_client: Client, anonymous_client: Client, job: Job
    ) -> None:
        revision = issue(estimator_client, job)
        page = anonymous_client.get(reverse("quotes:link", args=[revision.token])).content.decode()
        frames = re.findall(r'<rect class="frame" x="([\d.]+)%" width="([\d.]+)%"', page)
        places = [(float(x), float(width)) for x, width in frames]
        assert places == [
            (0.0, 30.0),
            (30.0, 40.0),
            (70.0, 20.0),
            (90.0, 10.0),
        ]  # the standard payment plan

    def test_total_follows_the_options_ticked(
        self, estimator_client: Client, anonymous_client: Client, job: Job
    ) -> None:
        revision = issue(estimator_client, job)
        option = revision.lines.get(is_option=True)
        url = reverse("quotes:link-total", args=[revision.token])
        page = anonymous_client.get(url, {"options": str(option.pk)}).content.decode()
        assert "€667.75" in page  # (412.89 + 130.00) × 1.23

    def test_signed_yes_takes_the_option_and_accepts_the_job(
        self, estimator_client: Client, anonymous_client: Client, job: Job
    ) -> None:
        revision = issue(estimator_client, job)
        option = revision.lines.get(is_option=True)
        assert accept_by_link(anonymous_client, revision, option.pk) == 303
        job.refresh_from_db()
        acceptance = Acceptance.objects.get(revision=revision)
        assert (job.stage, acceptance.gross_total) == (Stage.ACCEPTED, Decimal("667.75"))
        assert job.lines.get(choice="option").taken

    def test_unsigned_yes_is_refused_and_changes_nothing(
        self, estimator_client: Client, anonymous_client: Client, job: Job
    ) -> None:
        revision = issue(estimator_client, job)
        assert accept_by_link(anonymous_client, revision, name="  ") == 422
        job.refresh_from_db()
        assert job.stage == Stage.QUOTED

    def test_option_of_another_quote_is_refused(
        self, estimator_client: Client, anonymous_client: Client, job: Job
    ) -> None:
        revision = issue(estimator_client, job)
        assert accept_by_link(anonymous_client, revision, 999_999) == 422
        assert not Acceptance.objects.exists()

    def test_quote_out_of_date_can_no_longer_be_accepted(
        self, estimator_client: Client, anonymous_client: Client, job: Job, time_machine: object
    ) -> None:
        revision = issue(estimator_client, job)
        time_machine.move_to(timezone.now() + timedelta(days=31))  # type: ignore[attr-defined]
        assert accept_by_link(anonymous_client, revision) == 422
        page = anonymous_client.get(reverse("quotes:link", args=[revision.token])).content.decode()
        assert "ask for a new revision" in page

    def test_wrong_token_is_not_found(self, anonymous_client: Client, db: None) -> None:
        assert anonymous_client.get(reverse("quotes:link", args=["nobody"])).status_code == 404


def test_office_says_who_accepted_for_the_customer(estimator_client: Client, job: Job) -> None:
    revision = issue(estimator_client, job)
    page_url = reverse("quotes:revision", args=[job.number, revision.sequence])
    page = estimator_client.get(page_url).content.decode()
    assert "Who accepted for the customer" in page
    assert "Your name" not in page
    url = reverse("quotes:accept", args=[job.number, revision.sequence])
    data = {"name": "Rui Tern", "agreed": "on"}
    assert estimator_client.post(url, data | {"name": ""}).status_code == 422
    assert estimator_client.post(url, data).status_code == 303
    acceptance = Acceptance.objects.get(revision=revision)
    assert (acceptance.name, acceptance.through_link) == ("Rui Tern", False)
    again = estimator_client.post(url, data)
    assert again.status_code == 403  # the job is accepted; its stage allows no second answer


def test_an_answered_quote_cannot_be_declined_by_link(
    estimator_client: Client, anonymous_client: Client, job: Job
) -> None:
    revision = issue(estimator_client, job)
    accept_by_link(anonymous_client, revision)
    url = reverse("quotes:link-decline", args=[revision.token])
    response = anonymous_client.post(url, {"reason": "Too dear"})
    assert response.status_code == 422
    revision.refresh_from_db()
    assert revision.status == "accepted"


def test_stage_button_alone_never_accepts_a_job(
    estimator_client: Client, job: Job, owner: User
) -> None:
    issue(estimator_client, job)
    job.refresh_from_db()
    with pytest.raises(Exception, match="accept an issued quote first"):
        job.move_to(Stage.ACCEPTED, by=owner, now=timezone.now())


def test_technician_sees_no_quote(technician_client: Client, job: Job) -> None:
    assert technician_client.get(reverse("quotes:list", args=[job.number])).status_code == 403
    assert technician_client.get(reverse("quotes:estimate", args=[job.number])).status_code == 403


def test_hours_without_a_trade_are_told_beside_the_estimate(
    estimator_client: Client, estimator: User, job: Job
) -> None:
    page = reverse("quotes:estimate", args=[job.number])
    assert "no rate prices" not in estimator_client.get(page).content.decode()
    details = sheet.Details(standard_h=Decimal(12))
    line = sheet.add_provisional(
        job,
        zone_of(job, "HM"),
        amount=Decimal(640),
        description="Chart locker",
        by=estimator,
        details=details,
    )
    told = estimator_client.get(page).content.decode()
    assert "Hours no rate prices" in told
    assert reverse("jobs:line", args=[job.number, line.pk]) in told


def test_a_quote_does_not_leave_hours_out_in_silence(
    estimator_client: Client, estimator: User, job: Job
) -> None:
    line = sheet.add_customer_supplied(
        job,
        zone_of(job, "HB"),
        description="Diesel engine",
        by=estimator,
        details=sheet.Details(standard_h=Decimal(16)),
    )
    issuing = reverse("quotes:issue", args=[job.number])
    page = estimator_client.post(issuing, follow=True).content.decode()
    assert "Diesel engine: 16 h without a trade, so no rate prices them." in page
    assert not Revision.objects.exists()
    mechanical = make_trade(code="mechanical", sell_per_h="56")
    sheet.edit(line, by=estimator, version=line.version, trade=mechanical)
    # 16 h × 56.00 = 896.00, above the pump at 412.89
    assert issue(estimator_client, job).net_total == Decimal("1308.89")


def test_work_is_told_to_the_customer_as_an_item_or_by_what_it_is_counted_in(
    client: Client, estimator_client: Client, estimator: User, job: Job
) -> None:
    def add(quantity: str, per: str) -> None:
        operation = make_operation(code=f"OP-{quantity}-{per}")
        operation.per = per
        operation.save()
        details = sheet.Details(quantity=Decimal(quantity))
        sheet.add_labour(job, zone_of(job, "HB"), operation, by=estimator, details=details)

    for quantity, per in [("0.5", "vessel"), ("3", "piece"), ("2", "vessel"), ("1", "vessel")]:
        add(quantity, per)
    revision = issue(estimator_client, job)
    words = {line.description: line.quantity_words for line in revision.lines.all()}
    space = "\N{NO-BREAK SPACE}"
    assert words["Operation OP-0.5-vessel"] == words["Operation OP-1-vessel"] == "item"
    assert words["Operation OP-3-piece"] == f"3{space}pc"
    assert words["Operation OP-2-vessel"] == f"2{space}times"
    page = client.get(reverse("quotes:link", args=[revision.token])).content.decode()
    assert "Operation OP-0.5-vessel;" in page
    assert f"Operation OP-3-piece (3{space}pc)" in page
    text = pdf_text(revision)
    assert "item" in text
    assert "0.5 job" not in text


def test_the_customer_is_not_asked_again_once_they_accepted(
    client: Client, estimator_client: Client, job: Job
) -> None:
    revision = issue(estimator_client, job)
    page = reverse("quotes:link", args=[revision.token])
    assert "Read and accept" in client.get(page).content.decode()
    accept_by_link(client, revision)
    text = client.get(page).content.decode()
    assert "Read and accept" not in text
    assert "See the answer" in text
