from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from electrical import cautions
from electrical.check import check
from electrical.day_plans import set_home_port
from electrical.energy import Energy
from electrical.energy_page import EnergyPage
from electrical.forms.energy import HomePortForm
from electrical.models import HomePort, WorkStatus
from electrical.year.page import YearPage
from fitout.jobs.access import get_job
from fitout.jobs.models import Job
from fitout.kit import access, pages
from fitout.kit.models import StaleVersion


@require_safe
def energy(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.view")
    return energy_page(request, job, port_form(job))


def port_form(job: Job, data: Any = None) -> HomePortForm:
    stored = HomePort.objects.filter(job=job).first()
    return HomePortForm(data, instance=stored or HomePort(job=job))


def year_of(job: Job) -> YearPage | None:
    """The year as last worked out, for one sentence and the way to it."""
    row = job.energy_years.filter(status=WorkStatus.READY).first()
    return YearPage(row) if row is not None else None


def energy_page(
    request: HttpRequest, job: Job, port: HomePortForm, *, status: int = 200
) -> HttpResponse:
    checked = check(job)
    shown = profile_asked(request, checked.energies) or checked.energy
    context = {
        "job": job,
        "page": EnergyPage(checked.facts, shown, checked.energies),
        "year": year_of(job),
        "port": port,
        "caution": cautions.TEXT,
        "may_edit": access.can(request.user, "wiring.change", job.stage),
    }
    return pages.render(request, "electrical/energy.html", context, status=status)


def profile_asked(request: HttpRequest, energies: Sequence[Energy]) -> Energy | None:
    """The use profile named in the address; None where it names none of this job."""
    asked = request.GET.get("profile", "")
    return next((one for one in energies if str(one.profile_id) == asked), None)


@require_http_methods(["GET", "HEAD", "POST"])
def home_port(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.change")
    back = reverse("electrical:energy", args=[job.number])
    if request.method != "POST":
        return pages.back_to(back)
    form = port_form(job, request.POST)
    if not form.is_valid():
        return energy_page(request, job, form, status=422)
    user: Any = request.user
    try:
        set_home_port(job, by=user, version=form.cleaned_data.get("version"), **form.values())
    except StaleVersion as stale:
        form.show_both(stale.current)
        return energy_page(request, job, form, status=409)
    messages.success(request, "Sun and cold at the home port are saved.")
    return pages.back_to(back)
