"""Issue a quote: freeze the priced sheet as a numbered revision and store its PDF."""

from __future__ import annotations

import secrets
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db import transaction

from catalogue.models import LabourOperation
from catalogue.models.parts import Unit
from fitout.jobs.models import Job, Stage
from fitout.jobs.sheet import SheetLine
from fitout.kit import documents
from fitout.kit.audit import record
from fitout.kit.models import Audience, Document, User
from fitout.kit.money import quantity_text
from quotes import payment_plan
from quotes.access import OPEN_STAGES
from quotes.estimate import lines_without_rate
from quotes.models import PaymentStage, QuoteLine, Revision, RevisionStatus
from quotes.pricing import split_by_shares
from quotes.sheet_rows import PricedSheet, priced_sheet

UNITS = dict(Unit.choices)
WORK_UNITS = {"piece": "pc", "metre": "m", "m²": "m²", "set": "set", "pair": "pair"}


class CannotIssue(Exception):
    """The reasons, as sentences."""

    def __init__(self, reasons: list[str]) -> None:
        self.reasons = reasons
        super().__init__(" ".join(reasons))


def reasons_not_to_issue(sheet: PricedSheet) -> list[str]:
    job, reasons = sheet.job, []
    if job.stage not in OPEN_STAGES:
        reasons.append(
            f"{job.code} is {job.get_stage_display().lower()}; a quote is issued at enquiry or "
            "quoted. A change after acceptance is a variation."
        )
    if not any(line.counts for line in sheet.top_lines):
        reasons.append("The build sheet has no included line to quote.")
    try:
        payment_plan.parse(sheet.terms.payment_plan)
    except payment_plan.BadPlan as trouble:
        reasons.append(str(trouble))
    return reasons + [_without_rate(line) for line in lines_without_rate(sheet)]


def _without_rate(line: SheetLine) -> str:
    return (
        f"{line.code} {line.description}: {quantity_text(line.labour_h_total, 2)} h without a "
        "trade, so no rate prices them. Choose its trade, or set its standard time to 0 where "
        "its price covers the work."
    )


@transaction.atomic
def issue(job: Job, *, by: User, at: datetime, today: date) -> Revision:
    """The next revision; a live one before it is superseded. All in one transaction."""
    job = Job.objects.select_for_update().select_related("vessel", "customer").get(pk=job.pk)
    sheet = priced_sheet(job)
    if reasons := reasons_not_to_issue(sheet):
        raise CannotIssue(reasons)
    Revision.objects.filter(job=job, status=RevisionStatus.ISSUED).update(
        status=RevisionStatus.SUPERSEDED
    )
    revision = _freeze(sheet, by=by, at=at, today=today)
    revision.document = _store_pdf(revision, by=by, at=at)
    revision.save(update_fields=["document"])
    if job.stage == Stage.ENQUIRY:
        job.move_to(Stage.QUOTED, by=by, now=at)
    record(by, "issue", revision, scope=job.scope, label=f"Quote {revision.number} issued")
    return revision


def _freeze(sheet: PricedSheet, *, by: User, at: datetime, today: date) -> Revision:
    job, price, terms = sheet.job, sheet.price, sheet.terms
    last = Revision.objects.filter(job=job).order_by("-sequence").first()
    revision = Revision.objects.create(
        job=job,
        sequence=0 if last is None else last.sequence + 1,
        issued_on=today,
        issued_at=at,
        issued_by=by,
        valid_until=today + timedelta(days=terms.validity_days),
        currency=job.currency,
        customer_name=job.customer.name,
        customer_address=job.customer.address,
        vessel_name=job.vessel.name,
        vessel_description=job.vessel.description,
        inclusions=terms.inclusions,
        exclusions=terms.exclusions,
        terms=terms.terms,
        discount_pct=terms.discount_pct,
        lines_total=price.lines_total,
        discount_total=price.discount_total,
        net_total=price.net,
        tax_total=price.tax,
        gross_total=price.gross,
        tax_rows=[_tax_row(row) for row in price.tax_rows],
        cost_total=price.cost,
        hours_total=price.hours.quantize(Decimal("0.01")),
        token=secrets.token_urlsafe(32),
    )
    _freeze_lines(revision, sheet)
    _freeze_stages(revision, terms.payment_plan)
    return revision


def _tax_row(row: object) -> dict[str, str]:
    names = ("category_code", "rate_pct", "lines", "allowance", "taxable", "tax")
    return {name: str(getattr(row, name)) for name in names}


def _freeze_lines(revision: Revision, sheet: PricedSheet) -> None:
    worked_by = _units_of_work(sheet)
    zone_names = dict(revision.job.vessel.zones.values_list("code", "name"))
    QuoteLine.objects.bulk_create(
        QuoteLine(
            revision=revision,
            line_id=line.id,
            position=position,
            zone_code=line.zone_code,
            zone_name=zone_names[line.zone_code],
            code=line.code,
            kind=line.kind,
            description=line.description,
            quantity=line.quantity,
            unit=worked_by.get(line.operation_id) or UNITS.get(line.unit, line.unit),
            is_option=line.is_option,
            is_taken=line.counts,
            net=sheet.price.lines[line.id].net,
            shares=_shares(sheet, line),
        )
        for position, line in enumerate(sheet.top_lines, 1)
    )


def _units_of_work(sheet: PricedSheet) -> dict[int | None, str]:
    """Operation to what a customer counts its work by; none where it is bought whole."""
    operations = {line.operation_id for line in sheet.top_lines if line.operation_id}
    rows = LabourOperation.objects.filter(pk__in=operations).values_list("pk", "per")
    return {pk: WORK_UNITS[per] for pk, per in rows if per in WORK_UNITS}


def _shares(sheet: PricedSheet, line: SheetLine) -> list[list[str]]:
    """The line's net by tax group, so that an option can be taken at acceptance."""
    shares = sheet.price.shares[line.id]
    return [[key.category_code, str(key.rate_pct), str(amount)] for key, amount in shares.items()]


def _freeze_stages(revision: Revision, plan: str) -> None:
    shares = payment_plan.parse(plan)
    amounts = split_by_shares(revision.gross_total, [share.share_pct for share in shares])
    PaymentStage.objects.bulk_create(
        PaymentStage(
            revision=revision,
            position=position,
            name=share.name,
            share_pct=share.share_pct,
            amount=amount,
        )
        for position, (share, amount) in enumerate(zip(shares, amounts, strict=True), 1)
    )


def _store_pdf(revision: Revision, *, by: User, at: datetime) -> Document:
    from quotes.paper import quote_pdf

    return documents.store(
        kind="quote",
        number=revision.number,
        revision=revision.letter,
        title=f"Quote {revision.number}, {revision.vessel_name}",
        scope=revision.job.scope,
        filename=f"{revision.number}.pdf",
        content=quote_pdf(revision),
        at=at,
        by=by,
        audience=Audience.CUSTOMER,
    )
