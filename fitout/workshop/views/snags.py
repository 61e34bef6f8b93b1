from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from fitout.jobs.access import get_job
from fitout.jobs.models import Job
from fitout.kit.access import can, signed_in
from fitout.kit.documents import not_kept
from fitout.kit.pages import back_to, render
from fitout.workshop.forms import CloseForm, OfficeSnagForm
from fitout.workshop.models import Snag, SnagStatus
from fitout.workshop.snags import CannotClose, close, raise_snag


def _tab(job: Job) -> str:
    return reverse("workshop:tasks", args=[job.number])


def snags_page(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number)
    snags = list(job.snags.select_related("zone", "task", "raised_by"))
    context = {
        "job": job,
        "snags": snags,
        "tab_path": _tab(job),
        "open_count": sum(snag.status == SnagStatus.OPEN for snag in snags),
        "may_raise": can(request.user, "snags.raise", job.stage),
    }
    return render(request, "workshop/snags.html", context)


def new_snag(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "snags.raise")
    form = OfficeSnagForm(request.POST or None, request.FILES or None, job=job)
    if request.method == "POST" and form.is_valid():
        raise_snag(
            job,
            title=form.cleaned_data["title"],
            description=form.cleaned_data["description"],
            zone=form.cleaned_data["zone"],
            photo=form.cleaned_data["photo"],
            by=signed_in(request),
            at=timezone.now(),
        )
        messages.success(request, "Snag raised.")
        return back_to(reverse("workshop:snags", args=[number]))
    status = 422 if form.is_bound else 200
    context = {"job": job, "form": form, "tab_path": _tab(job)}
    return render(request, "workshop/snag_form.html", context, status=status)


def snag_page(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    job = get_job(request, number)
    return _snag_page(request, job, _snag(job, pk))


def _snag(job: Job, pk: int) -> Snag:
    return get_object_or_404(job.snags.select_related("zone", "task", "raised_by", "job"), pk=pk)


def _snag_page(
    request: HttpRequest, job: Job, snag: Snag, closing: CloseForm | None = None
) -> HttpResponse:
    context = {
        "job": job,
        "snag": snag,
        "tab_path": _tab(job),
        "closing": closing or CloseForm(),
        "may_close": can(request.user, "snags.close", job.stage) and snag.status == SnagStatus.OPEN,
    }
    return render(request, "workshop/snag.html", context, status=422 if closing else 200)


@require_POST
def close_snag(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    job = get_job(request, number, "snags.close")
    snag = _snag(job, pk)
    form = CloseForm(request.POST)
    if not form.is_valid():
        return _snag_page(request, job, snag, form)
    try:
        close(snag, **form.cleaned_data, by=signed_in(request), at=timezone.now())
    except CannotClose as trouble:
        form.add_error("note", str(trouble))
        return _snag_page(request, job, snag, form)
    messages.success(request, "Snag closed.")
    return back_to(reverse("workshop:snags", args=[number]))


def photo(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    snag = _snag(get_job(request, number), pk)
    if not snag.photo:
        raise Http404("This snag has no photo.")
    try:
        with snag.photo.open("rb") as file:
            response = HttpResponse(file.read(), content_type="image/jpeg")
    except OSError as trouble:
        return not_kept(
            request,
            f"The photo of “{snag}” is no longer where photos are kept. "
            "A copy from the last backup brings it back.",
            f"photo of snag {snag.pk}: {trouble}",
        )
    response.headers["Cache-Control"] = "private, max-age=3600"
    return response
