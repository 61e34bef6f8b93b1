from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fitout.jobs.access import get_job
from fitout.jobs.forms.jobs import JobForm, NewJobForm, StageForm, VesselForm
from fitout.jobs.hullplan.templates import TEMPLATES, fill
from fitout.jobs.models import Customer, Job, Stage, Vessel
from fitout.jobs.models.jobs import StageRefused
from fitout.kit import audit, pages
from fitout.kit.models import StaleVersion


@require_safe
def jobs(request: HttpRequest) -> HttpResponse:
    stage = request.GET.get("stage", "")
    found = Job.objects.visible_to(request.user).for_list()
    if stage in Stage.values:
        found = found.filter(stage=stage)
    page = Paginator(found, 50).get_page(request.GET.get("page"))
    context = {"page": page, "stage": stage, "stages": Stage.choices}
    return pages.render(request, "jobs/jobs.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def new_job(request: HttpRequest) -> HttpResponse:
    if request.method != "POST":
        return _new_page(request, NewJobForm(initial=_typical(request.GET.get("template", ""))))
    form = NewJobForm(request.POST)
    if not form.is_valid():
        return _new_page(request, form, status=422)
    job = open_from(form, request.user)
    messages.success(request, f"{job.code} is opened for {job.vessel.name}.")
    return pages.back_to(reverse("jobs:sheet", args=[job.number]))


def _new_page(request: HttpRequest, form: NewJobForm, status: int = 200) -> HttpResponse:
    context = {
        "form": form,
        "templates": TEMPLATES.values(),
        "chosen": form["template"].value(),
    }
    return pages.render(request, "jobs/new_job.html", context, status=status)


def _typical(slug: str) -> dict[str, Any]:
    """Dimensions a vessel of that kind commonly has, to be typed over."""
    template = TEMPLATES.get(slug) or TEMPLATES["workboat"]
    names = ("length_m", "beam_m", "depth_m", "height_m", "draught_m")
    return {"template": template.slug, **dict(zip(names, template.typical_m, strict=True))}


def open_from(form: NewJobForm, user: Any) -> Job:
    cleaned = form.cleaned_data
    with transaction.atomic():
        customer = cleaned["customer"]
        if customer is None:
            customer = Customer.objects.create(name=cleaned["new_customer"].strip())
        vessel = Vessel.objects.create(changed_by=user, **form.vessel_values())
        fill(vessel, TEMPLATES[cleaned["template"]])
        return Job.open(
            vessel=vessel,
            customer=customer,
            by=user,
            today=timezone.localdate(),
            title=cleaned["title"],
            asked_for=cleaned["asked_for"],
        )


@require_http_methods(["GET", "HEAD", "POST"])
def details(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number)
    data = pages.posted(request)
    if data is None:
        return _details_page(request, job)
    form = JobForm(data, instance=job, prefix="job")
    vessel_form = VesselForm(data, instance=job.vessel, prefix="vessel")
    if not (form.is_valid() & vessel_form.is_valid()):
        return _details_page(request, job, form, vessel_form, status=422)
    try:
        with audit.tracked(
            actor=request.user,
            scope=job.scope,
            label=f"Particulars of {job.code} changed",
        ) as change:
            change.watch(job, job.vessel)
            form.save_by(request.user)
            vessel_form.save_by(request.user)
    except StaleVersion as stale:
        wrong = form if isinstance(stale.current, Job) else vessel_form
        wrong.show_both(stale.current)
        return _details_page(request, job, form, vessel_form, status=409)
    messages.success(request, f"The particulars of {job.code} are saved.")
    return pages.back_to(reverse("jobs:sheet", args=[job.number]))


def _details_page(
    request: HttpRequest,
    job: Job,
    form: JobForm | None = None,
    vessel_form: VesselForm | None = None,
    *,
    stage_refusal: str = "",
    status: int = 200,
) -> HttpResponse:
    shown = Job.objects.for_title().get(pk=job.pk)
    context = {
        "job": shown,
        "form": form or JobForm(instance=shown, prefix="job"),
        "vessel_form": vessel_form or VesselForm(instance=shown.vessel, prefix="vessel"),
        "stage_refusal": stage_refusal,
    }
    return pages.render(request, "jobs/details.html", context, status=status)


@require_POST
def move(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number)
    form = StageForm(request.POST)
    if not form.is_valid():
        return _refused(request, job, " ".join(str(one) for one in form.errors.get("stage", ())))
    try:
        job.move_to(form.cleaned_data["stage"], by=request.user, now=timezone.now())
    except StageRefused as reason:
        return _refused(request, job, str(reason))
    except StaleVersion:
        return _refused(request, job, "Somebody else changed this job meanwhile; look again.")
    messages.success(request, f"{job.code} is now {job.get_stage_display().lower()}.")
    return pages.back_to(reverse("jobs:details", args=[job.number]))


def _refused(request: HttpRequest, job: Job, reason: str) -> HttpResponse:
    return _details_page(request, job, stage_refusal=reason, status=422)
