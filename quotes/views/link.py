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
from quotes.acceptance import (
    CannotAnswer,
    Totals,
    accept,
    decline,
    reason_not_to_answer,
    totals_with,
)
from quotes.forms import AnswerForm, DeclineForm
from quotes.models import QuoteLine, Revision
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
    context = quote_context(revision)
    options: list[QuoteLine] = context["options"]
    taken = _taken(answer, options)
    acceptance = getattr(revision, "acceptance", None)
    if acceptance is not None:
        taken = {line.pk for line in options if line.line_id in acceptance.option_line_ids}
    plan = read_plan(revision.job.vessel)
    context |= {
        "profile": profile(plan),
        "deck_plan": deck_plan(plan),
        "answer": answer or AnswerForm(options=options, currency=revision.currency),
        "declining": declining or DeclineForm(),
        "not_open": reason_not_to_answer(revision, timezone.localdate()),
        "acceptance": acceptance,
        "taken": taken,
        "totals": _totals(revision, options, taken),
    }
    status = 422 if answer or declining else 200
    response = render(request, "quotes/link.html", context, status=status)
    response.headers["X-Robots-Tag"] = "noindex"
    response.headers["Referrer-Policy"] = "same-origin"  # no-referrer makes Origin null
    return response


def _taken(answer: AnswerForm | None, options: list[QuoteLine]) -> set[int]:
    if answer is None:
        return set()
    sent = set(answer.data.getlist("options")) if hasattr(answer.data, "getlist") else set()
    return {line.pk for line in options if str(line.pk) in sent}


def _totals(revision: Revision, options: list[QuoteLine], taken: set[int]) -> Totals:
    return totals_with(revision.lines.all(), taken, discount_pct=revision.discount_pct)


def quote_total(request: HttpRequest, token: str) -> HttpResponse:
    """The total with the options ticked so far; the server's figure is the truth."""
    revision = get_by_token(token)
    options = list(revision.lines.filter(is_option=True))
    sent = set(request.GET.getlist("options"))
    taken = {line.pk for line in options if str(line.pk) in sent}
    context: dict[str, Any] = {
        "revision": revision,
        "totals": _totals(revision, options, taken),
        "taken": taken,
    }
    return render(request, "quotes/_link_total.html", context)


@require_POST
def accept_by_link(request: HttpRequest, token: str) -> HttpResponse:
    revision = get_by_token(token)
    options = list(revision.lines.filter(is_option=True))
    form = AnswerForm(request.POST, options=options, currency=revision.currency)
    if not form.is_valid():
        return _page(request, revision, answer=form)
    try:
        accept(
            revision,
            name=form.cleaned_data["name"],
            option_ids=form.option_ids,
            at=timezone.now(),
            today=timezone.localdate(),
            by=None,
            remark=form.cleaned_data["remark"],
        )
    except CannotAnswer as trouble:
        form.add_error(None, str(trouble))
        return _page(request, revision, answer=form)
    return back_to(reverse("quotes:link", args=[token]))


@require_POST
def decline_by_link(request: HttpRequest, token: str) -> HttpResponse:
    revision = get_by_token(token)
    form = DeclineForm(request.POST)
    if not form.is_valid():
        return _page(request, revision, declining=form)
    try:
        decline(revision, reason=form.cleaned_data["reason"], today=timezone.localdate(), by=None)
    except CannotAnswer as trouble:
        form.add_error(None, str(trouble))
        return _page(request, revision, declining=form)
    return back_to(reverse("quotes:link", args=[token]))


def quote_pdf(request: HttpRequest, token: str) -> HttpResponse:
    document = get_by_token(token).document
    if document is None:
        raise Http404("This quote has no document.")
    return documents.response(document)
