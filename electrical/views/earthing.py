from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from electrical import cautions
from electrical.check import check
from electrical.finding_groups import grouped, is_about_earth
from electrical.forms.earthing import BondForm, EarthingForm
from electrical.models import Bond, Earthing
from fitout.jobs.access import get_job
from fitout.jobs.models import Job
from fitout.kit import access, pages
from fitout.kit.audit import tracked


def stored(job: Job) -> Earthing:
    return Earthing.objects.filter(job=job).select_related("job").first() or Earthing(job=job)


@require_http_methods(["GET", "HEAD"])
def earthing(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.view")
    return earthing_page(request, job, EarthingForm(stored(job)), BondForm(job))


def earthing_page(
    request: HttpRequest, job: Job, form: EarthingForm, bond: BondForm, *, status: int = 200
) -> HttpResponse:
    checked = check(job)
    checks = checked.result.checks if checked.result else ()
    judged = [finding for finding in checks if is_about_earth(finding)]
    context = {
        "job": job,
        "form": form,
        "bond_form": bond,
        "bonds": Bond.objects.filter(job=job).select_related("circuit"),
        "groups": grouped(checked.facts, [f for f in checked.findings if is_about_earth(f)]),
        "passed": sum(not finding.is_open for finding in judged),
        "caution": cautions.TEXT,
        "may_edit": access.can(request.user, "wiring.change", job.stage),
    }
    return pages.render(request, "electrical/earthing.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def save(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.change")
    here = reverse("electrical:earthing", args=[job.number])
    if request.method != "POST":
        return pages.back_to(here)
    form = EarthingForm(stored(job), request.POST)
    if not form.saved_by(request.user):
        return earthing_page(request, job, form, BondForm(job), status=form.http_status)
    messages.success(request, "Earthing is saved.")
    return pages.back_to(here)


@require_http_methods(["GET", "HEAD", "POST"])
def bond(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.change")
    here = reverse("electrical:earthing", args=[job.number])
    if request.method != "POST":
        return pages.back_to(here)
    form = BondForm(job, request.POST)
    if not form.saved_by(request.user):
        asked = EarthingForm(stored(job))
        return earthing_page(request, job, asked, form, status=form.http_status)
    messages.success(request, f"{form.instance} is added.")
    return pages.back_to(here)


@require_POST
def remove_bond(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    job = get_job(request, number, "wiring.change")
    gone = Bond.objects.filter(job=job, pk=pk).first()
    if gone is None:
        raise Http404(f"{job.code} has no such bonding conductor.")
    label = f"{gone} removed"
    with tracked(
        actor=access.signed_in(request), scope=job.scope, label=label, action="wiring.change"
    ) as change:
        change.removing(gone)
        gone.delete()
    messages.success(request, f"{label}.")
    return pages.back_to(reverse("electrical:earthing", args=[job.number]))
