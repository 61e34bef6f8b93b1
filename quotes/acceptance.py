"""The customer's answer to a quote: yes with the options they take, or no."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, datetime
from decimal import Decimal
from typing import TYPE_CHECKING

from django.db import transaction

from fitout.jobs.models import Choice, Job, Line, Stage
from fitout.kit.audit import record, tracked
from fitout.kit.models import User
from quotes.models import Acceptance, QuoteLine, Revision, RevisionStatus
from quotes.pricing import TaxKey, Totals, tax_by_group

if TYPE_CHECKING:
    from collections.abc import Iterable


class CannotAnswer(Exception):
    """The reason, as a sentence for whoever answers."""


def totals_with(
    lines: Iterable[QuoteLine], taken_ids: Collection[int], *, discount_pct: Decimal
) -> Totals:
    """What the quote comes to with exactly these options taken."""
    counted = [line for line in lines if not line.is_option or line.pk in taken_ids]
    shares = (shares_of(line) for line in counted)
    return Totals(tax_rows=tax_by_group(shares, discount_pct=discount_pct))


def shares_of(line: QuoteLine) -> dict[TaxKey, Decimal]:
    return {
        TaxKey(category_code=code, rate_pct=Decimal(rate)): Decimal(amount)
        for code, rate, amount in line.shares
    }


def reason_not_to_answer(revision: Revision, today: date) -> str:
    if revision.status != RevisionStatus.ISSUED:
        return f"Quote {revision.number} is {revision.get_status_display().lower()}."
    if today > revision.valid_until:
        return (
            f"Quote {revision.number} was valid until {revision.valid_until:%-d %B %Y}; "
            "ask for a new revision."
        )
    return ""


@transaction.atomic
def accept(
    revision: Revision,
    *,
    name: str,
    option_ids: Collection[int],
    at: datetime,
    today: date,
    by: User | None,
    remark: str = "",
) -> Acceptance:
    """Record the signed yes. `by` is None when the customer answers through the link."""
    job = Job.objects.select_for_update().get(pk=revision.job_id)
    revision.refresh_from_db()
    if reason := reason_not_to_answer(revision, today):
        raise CannotAnswer(reason)
    lines = list(revision.lines.all())
    options = {line.pk: line for line in lines if line.is_option}
    if unknown := set(option_ids) - set(options):
        raise CannotAnswer(f"Options: {len(unknown)} of those chosen are not in this quote.")
    totals = totals_with(lines, option_ids, discount_pct=revision.discount_pct)
    acceptance = Acceptance.objects.create(
        revision=revision,
        name=name,
        accepted_at=at,
        through_link=by is None,
        recorded_by=by,
        option_line_ids=sorted(options[pk].line_id for pk in option_ids),
        net_total=totals.net,
        tax_total=totals.tax,
        gross_total=totals.gross,
        remark=remark,
    )
    _answer(revision, RevisionStatus.ACCEPTED)
    _take_options(job, revision, acceptance, by=by)
    job.move_to(Stage.ACCEPTED, by=by, now=at)
    record(
        by, "accept", revision, scope=job.scope, label=f"Quote {revision.number} accepted by {name}"
    )
    return acceptance


@transaction.atomic
def decline(revision: Revision, *, reason: str, today: date, by: User | None) -> None:
    revision.refresh_from_db()
    if why_not := reason_not_to_answer(revision, today):
        raise CannotAnswer(why_not)
    _answer(revision, RevisionStatus.DECLINED)
    label = f"Quote {revision.number} declined" + (f": {reason}" if reason else "")
    record(by, "decline", revision, scope=revision.job.scope, label=label)


def _answer(revision: Revision, status: RevisionStatus) -> None:
    revision.status = status
    revision.save(update_fields=["status"])


def _take_options(job: Job, revision: Revision, acceptance: Acceptance, *, by: User | None) -> None:
    """The build sheet follows the signature: options taken stand up, the others stay out."""
    chosen = set(acceptance.option_line_ids)
    label = f"Options of quote {revision.number} as accepted"
    with tracked(actor=by, scope=job.scope, label=label, undoable=False) as change:
        for line in Line.objects.filter(job=job, parent=None, choice=Choice.OPTION):
            if line.taken != (line.pk in chosen):
                change.watch(line)
                line.taken = line.pk in chosen
                line.save_if_version(line.version, by=by)


def has_accepted_quote(job: Job) -> bool:
    return Revision.objects.filter(job=job, status=RevisionStatus.ACCEPTED).exists()


def guard_stage(job: Job, stage: str) -> str:
    """A job becomes accepted by a signature, never by a button alone."""
    if stage == Stage.ACCEPTED and not has_accepted_quote(job):
        return "Stage: accept an issued quote first; that moves the job to accepted."
    return ""
