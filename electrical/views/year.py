from __future__ import annotations

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from electrical import cautions
from electrical.facts import load_facts
from electrical.forms.energy import PortYearForm
from electrical.models import HomePort, WorkStatus
from electrical.year.inputs import inputs_of
from electrical.year.page import YearPage
from electrical.year.ports import set_year
from electrical.year.running import ask_for
from fitout.jobs.access import get_job
from fitout.jobs.models import Job
from fitout.kit import access, pages
from fitout.kit.models import StaleVersion

FRAGMENTS = {"year": "electrical/_year.html"}


@require_safe
def year(request: HttpRequest, number: int) -> HttpResponse:
    """Asks again by itself while the year is being worked out."""
    job = get_job(request, number, "wiring.view")
    return year_page(request, job, PortYearForm(port_of(job)))


def port_of(job: Job) -> HomePort | None:
    return HomePort.objects.filter(job=job).select_related("changed_by").first()


def year_page(
    request: HttpRequest, job: Job, form: PortYearForm, *, status: int = 200
) -> HttpResponse:
    worked_out = job.energy_years.select_related("asked_by").first()
    inputs = inputs_of(load_facts(job))
    is_ready = worked_out is not None and worked_out.status == WorkStatus.READY
    context = {
        "job": job,
        "year": worked_out,
        "page": YearPage(worked_out, month_asked(request)) if worked_out and is_ready else None,
        "inputs": inputs,
        "is_out_of_date": worked_out is not None and worked_out.stamp != inputs.stamp,
        "form": form,
        "caution": cautions.TEXT,
        "may_edit": access.can(request.user, "wiring.change", job.stage),
    }
    return pages.render(
        request, "electrical/year.html", context, fragments=FRAGMENTS, status=status
    )


def month_asked(request: HttpRequest) -> int:
    text = request.GET.get("month", "")
    return int(text) if text.isdecimal() and len(text) <= 2 else 0


@require_POST
def ask(request: HttpRequest, number: int) -> HttpResponse:
    from electrical.tasks import make_energy_year

    job = get_job(request, number, "wiring.change")
    row = ask_for(job, by=access.signed_in(request), at=timezone.now())
    transaction.on_commit(lambda: make_energy_year.enqueue(row.pk))
    return pages.back_to(reverse("electrical:energy_year", args=[job.number]))


@require_http_methods(["GET", "HEAD", "POST"])
def port(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.change")
    here = reverse("electrical:energy_year", args=[job.number])
    if request.method != "POST":
        return pages.back_to(here)
    form = PortYearForm(port_of(job), request.POST)
    if not form.is_valid():
        return year_page(request, job, form, status=422)
    version = form.cleaned_data["version"]
    try:
        set_year(job, by=access.signed_in(request), version=version, **form.values())
    except StaleVersion as stale:
        form.overtake(stale.current)
        return year_page(request, job, form, status=409)
    messages.success(request, "The year at the home port is saved.")
    return pages.back_to(here)
