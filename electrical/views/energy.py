from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from electrical import cautions
from electrical.check import check
from electrical.day_plans import assumed_hours, set_day_plan, stored_hours
from electrical.energy_page import EnergyPage
from electrical.forms.energy import DayPlanForm
from fitout.jobs.access import get_job
from fitout.jobs.models import Job
from fitout.kit import access, pages


@require_safe
def energy(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.view")
    return energy_page(request, job, day_form(job))


def day_form(job: Job, data: Any = None) -> DayPlanForm:
    return DayPlanForm(stored_hours(job) or assumed_hours(job), data)


def energy_page(
    request: HttpRequest, job: Job, form: DayPlanForm, *, status: int = 200
) -> HttpResponse:
    checked = check(job)
    context = {
        "job": job,
        "page": EnergyPage(checked.facts, checked.energy),
        "form": form,
        "caution": cautions.TEXT,
        "may_edit": access.can(request.user, "wiring.change", job.stage),
    }
    fragments = {"energy": "electrical/_energy.html"}
    return pages.render(
        request, "electrical/energy.html", context, fragments=fragments, status=status
    )


@require_http_methods(["GET", "HEAD", "POST"])
def day_plan(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.change")
    back = reverse("electrical:energy", args=[job.number])
    if request.method != "POST":
        return pages.back_to(back)
    form = day_form(job, request.POST)
    if not form.is_valid():
        return energy_page(request, job, form, status=422)
    set_day_plan(job, form.hours(), request.user)  # type: ignore[arg-type]
    messages.success(request, "The day plan is saved.")
    return pages.back_to(back)
