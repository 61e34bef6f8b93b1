from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from fitout.jobs import sheet
from fitout.jobs.access import get_job
from fitout.jobs.forms.lines import CopyForm
from fitout.jobs.models import Job
from fitout.kit import pages
from fitout.kit.text import counted


@require_http_methods(["GET", "HEAD", "POST"])
def copy(request: HttpRequest, number: int) -> HttpResponse:
    """First choose the job, then say where the lines of each of its zones go."""
    job = get_job(request, number, "build_sheet.change")
    source = _source(request, job)
    if source is None:
        status = 422 if request.method == "POST" else 200
        return _choose_page(request, job, status=status)
    if request.method != "POST":
        return _zones_page(request, job, source, CopyForm(job, source))
    form = CopyForm(job, source, request.POST)
    if not form.is_valid():
        return _zones_page(request, job, source, form, status=422)
    try:
        copied = sheet.copy_from(job, source, zones=form.zones(), by=request.user)
    except sheet.SheetError as reason:
        form.add_error(None, str(reason))
        return _zones_page(request, job, source, form, status=422)
    left = f" {copied.without_zone} are left out." if copied.without_zone else ""
    messages.success(request, f"{counted(copied.lines, 'line')} copied from {source.code}.{left}")
    return pages.back_to(reverse("jobs:sheet", args=[job.number]))


def _source(request: HttpRequest, job: Job) -> Job | None:
    asked = request.POST.get("from") or request.GET.get("from") or ""
    if not asked.isdecimal() or len(asked) > 9:
        return None
    found = Job.objects.visible_to(request.user).for_title().exclude(pk=job.pk)
    return found.filter(number=int(asked)).first()


def _choose_page(request: HttpRequest, job: Job, status: int) -> HttpResponse:
    others = Job.objects.visible_to(request.user).for_list().exclude(pk=job.pk)[:200]
    context = {"job": job, "others": others, "wrong": status == 422}
    return pages.render(request, "jobs/copy.html", context, status=status)


def _zones_page(
    request: HttpRequest, job: Job, source: Job, form: CopyForm, status: int = 200
) -> HttpResponse:
    counts = source.lines.top_level().count()
    context = {"job": job, "source": source, "form": form, "count": counts}
    return pages.render(request, "jobs/copy.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def refresh(request: HttpRequest, number: int) -> HttpResponse:
    """Costs of part lines beside what their offers ask today."""
    job = get_job(request, number, "build_sheet.change")
    if request.method == "POST":
        changes = sheet.refresh_costs(job, by=request.user)
        messages.success(request, f"{len(changes)} lines now cost what their offers ask.")
        return pages.back_to(reverse("jobs:sheet", args=[job.number]))
    context = {"job": job, "changes": sheet.cost_changes(job)}
    return pages.render(request, "jobs/refresh.html", context)
