"""What the customer opens: their own quote, through a link nobody can guess. No sign-in."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from fitout.jobs.hullplan.drawing import deck_plan, profile
from fitout.jobs.hullplan.plan import read_plan
from fitout.kit import documents
from fitout.kit.pages import back_to, render
from quotes.acceptance import reason_not_to_answer, totals_with
from quotes.forms import AnswerForm, DeclineForm
from quotes.models import Revision
from quotes.paper import quote_context


def get_by_token(token: str) -> Revision:
    rows = Revision.objects.select_related("job__vessel", "document")
    revision = rows.filter(token=token).first()
    if revision is None:
        raise Http404("No quote under this link.")
    return revision


def quote_link(request: HttpRequest, token: str) -> HttpResponse:
    return _page(request, get_by_token(token))


def _page(
    request: HttpRequest,
    revision: Revision,
    *,
    answer: AnswerForm | None = None,
    declining: DeclineForm | None = None,
) -> HttpResponse:
    acceptance = getattr(revision, "acceptance", None)
    taken = _ticked(revision, request.POST.getlist("options"))
    if acceptance is not None:
        signed = revision.lines.filter(line_id__in=acceptance.option_line_ids)
        taken = set(signed.values_list("pk", flat=True))
    plan = read_plan(revision.job.vessel)
    context = quote_context(revision) | {
        "profile": profile(plan),
        "deck_plan": deck_plan(plan),
        "answer": answer or AnswerForm(revision=revision),
        "declining": declining or DeclineForm(revision=revision),
        "not_open": reason_not_to_answer(revision, timezone.localdate()),
        "acceptance": acceptance,
        **_totals(revision, taken),
    }
    status = 422 if answer or declining else 200
    response = render(request, "quotes/link.html", context, status=status)
    response.headers["X-Robots-Tag"] = "noindex"
    response.headers["Referrer-Policy"] = "same-origin"  # no-referrer makes Origin null
    return response


def _ticked(revision: Revision, sent: list[str]) -> set[int]:
    """The options of the quote among the values sent."""
    options = revision.lines.filter(is_option=True).values_list("pk", flat=True)
    return {pk for pk in options if str(pk) in sent}


def _totals(revision: Revision, taken: set[int]) -> dict[str, Any]:
    totals = totals_with(revision.lines.all(), taken, discount_pct=revision.discount_pct)
    return {"taken": taken, "totals": totals}


def quote_total(request: HttpRequest, token: str) -> HttpResponse:
    """The total with the options ticked so far; the server's figure is the truth."""
    revision = get_by_token(token)
    taken = _ticked(revision, request.GET.getlist("options"))
    context = {"revision": revision, **_totals(revision, taken)}
    return render(request, "quotes/_link_total.html", context)


@require_POST
def accept_by_link(request: HttpRequest, token: str) -> HttpResponse:
    revision = get_by_token(token)
    form = AnswerForm(request.POST, revision=revision)
    if form.accepted(by=None, at=timezone.now(), today=timezone.localdate()):
        return back_to(reverse("quotes:link", args=[token]))
    return _page(request, revision, answer=form)


@require_POST
def decline_by_link(request: HttpRequest, token: str) -> HttpResponse:
    revision = get_by_token(token)
    form = DeclineForm(request.POST, revision=revision)
    if form.declined(by=None, today=timezone.localdate()):
        return back_to(reverse("quotes:link", args=[token]))
    return _page(request, revision, declining=form)


def quote_pdf(request: HttpRequest, token: str) -> HttpResponse:
    document = get_by_token(token).document
    if document is None:
        raise Http404("This quote has no document.")
    return documents.answer(request, document)
