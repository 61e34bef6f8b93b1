from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from electrical import cautions
from electrical.check import Checked, check
from electrical.data_backbone.editing import lay_out, propose_anew
from electrical.data_backbone.judging import Judged
from electrical.data_backbone.page import DataPage
from electrical.finding_groups import grouped
from electrical.forms.data_backbone import LayoutForm
from fitout.jobs.access import get_job
from fitout.jobs.models import Job
from fitout.kit import access, pages
from fitout.kit.models import StaleVersion


@require_safe
def data_backbone(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.view")
    checked = check(job)
    form = LayoutForm(checked.data.layout) if checked.data else None
    return backbone_page(request, job, checked, form)


def backbone_page(
    request: HttpRequest, job: Job, checked: Checked, form: LayoutForm | None, *, status: int = 200
) -> HttpResponse:
    data = checked.data
    context: dict[str, Any] = {
        "job": job,
        "page": DataPage(data) if data else None,
        "groups": grouped(checked.facts, data.open) if data else [],
        "form": form,
        "caution": cautions.TEXT,
        "may_edit": access.can(request.user, "wiring.change", job.stage),
    }
    return pages.render(request, "electrical/data_backbone.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def save(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.change")
    here = reverse("electrical:data_backbone", args=[job.number])
    if request.method != "POST":
        return pages.back_to(here)
    checked = check(job)
    data = _data(checked)
    form = LayoutForm(data.layout, request.POST)
    if not form.is_valid():
        return backbone_page(request, job, checked, form, status=422)
    try:
        lay_out(
            job,
            by=access.signed_in(request),
            version=form.cleaned_data["version"],
            values=form.values(),
            tees=form.tees(),
        )
    except StaleVersion as stale:
        form.overtake(stale.current)
        return backbone_page(request, job, checked, form, status=409)
    messages.success(request, "The layout of the data backbone is saved.")
    return pages.back_to(here)


def _data(checked: Checked) -> Judged:
    if checked.data is None:
        raise Http404(f"{checked.facts.job.code} has no data backbone.")
    return checked.data


@require_POST
def propose(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.change")
    was = propose_anew(job, by=access.signed_in(request))
    words = "Order and lengths follow the hull plan again." if was else "They follow it already."
    messages.success(request, words)
    return pages.back_to(reverse("electrical:data_backbone", args=[job.number]))
