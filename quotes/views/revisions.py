from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from fitout.jobs.access import get_job
from fitout.jobs.models import Job
from fitout.kit.access import can, signed_in
from fitout.kit.pages import back_to, render
from quotes.acceptance import reason_not_to_answer
from quotes.forms import DeclineForm, RecordedAnswerForm
from quotes.issuing import CannotIssue, issue, reasons_not_to_issue
from quotes.models import Revision
from quotes.overview import overview
from quotes.paper import quote_context
from quotes.sheet_rows import priced_sheet


def quotes_page(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number)
    sheet = priced_sheet(job)
    context = {
        "job": job,
        "overview": overview(sheet),
        "terms": sheet.terms,
        "revisions": list(job.quote_revisions.select_related("document", "issued_by", "job")),
        "reasons": reasons_not_to_issue(sheet),
        "may_issue": can(request.user, "quote.issue", job.stage),
        "may_change_terms": can(request.user, "terms.change", job.stage),
    }
    return render(request, "quotes/list.html", context)


@require_POST
def issue_quote(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "quote.issue")
    try:
        revision = issue(job, by=signed_in(request), at=timezone.now(), today=timezone.localdate())
    except CannotIssue as trouble:
        for reason in trouble.reasons:
            messages.error(request, reason)
        return back_to(reverse("quotes:list", args=[number]))
    messages.success(request, f"Quote {revision.number} issued.")
    return back_to(reverse("quotes:revision", args=[number, revision.sequence]))


def get_revision(job: Job, sequence: int) -> Revision:
    rows = job.quote_revisions.select_related("document", "issued_by", "job__vessel")
    return get_object_or_404(rows, sequence=sequence)


def revision_page(request: HttpRequest, number: int, sequence: int) -> HttpResponse:
    job = get_job(request, number)
    revision = get_revision(job, sequence)
    return _revision_page(request, job, revision)


def _revision_page(
    request: HttpRequest,
    job: Job,
    revision: Revision,
    *,
    answer: RecordedAnswerForm | None = None,
    declining: DeclineForm | None = None,
) -> HttpResponse:
    not_open = reason_not_to_answer(revision, timezone.localdate())
    may_answer = can(request.user, "quote.answer", job.stage) and not not_open
    context: dict[str, Any] = quote_context(revision) | {
        "job": job,
        "acceptance": getattr(revision, "acceptance", None),
        "not_open": not_open,
        "may_answer": may_answer,
        "link": request.build_absolute_uri(reverse("quotes:link", args=[revision.token])),
        "answer": answer or RecordedAnswerForm(revision=revision),
        "declining": declining or DeclineForm(revision=revision),
    }
    status = 422 if answer or declining else 200
    return render(request, "quotes/revision.html", context, status=status)


@require_POST
def accept_quote(request: HttpRequest, number: int, sequence: int) -> HttpResponse:
    job = get_job(request, number, "quote.answer")
    revision = get_revision(job, sequence)
    form = RecordedAnswerForm(request.POST, revision=revision)
    if form.accepted(by=signed_in(request), at=timezone.now(), today=timezone.localdate()):
        messages.success(request, f"Quote {revision.number} accepted; the job is accepted.")
        return back_to(reverse("quotes:revision", args=[number, sequence]))
    return _revision_page(request, job, revision, answer=form)


@require_POST
def decline_quote(request: HttpRequest, number: int, sequence: int) -> HttpResponse:
    job = get_job(request, number, "quote.answer")
    revision = get_revision(job, sequence)
    form = DeclineForm(request.POST, revision=revision)
    if form.declined(by=signed_in(request), today=timezone.localdate()):
        messages.success(request, f"Quote {revision.number} declined.")
        return back_to(reverse("quotes:revision", args=[number, sequence]))
    return _revision_page(request, job, revision, declining=form)
