from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from electrical.day_plans import remove_profile
from electrical.forms.use_profiles import UseProfileForm, profile_for
from electrical.models import UseProfile
from fitout.jobs.access import get_job
from fitout.jobs.models import Job
from fitout.kit import access, pages


def energy_of(job: Job) -> str:
    return reverse("electrical:energy", args=[job.number]) + "#use"


def find(job: Job, pk: int | None) -> UseProfile:
    profile = profile_for(job, pk)
    if profile is None:
        raise Http404(f"{job.code} has no such use profile.")
    return profile


@require_http_methods(["GET", "HEAD", "POST"])
def profile(request: HttpRequest, number: int, pk: int | None = None) -> HttpResponse:
    job = get_job(request, number, "wiring.change")
    if request.method == "POST":
        # Two at once could pass seven days a week between them.
        Job.objects.select_for_update().get(pk=job.pk)
    found = find(job, pk)
    form = UseProfileForm(found, request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.saved_by(request.user):
        messages.success(request, f"Use profile “{form.instance}” is saved.")
        return pages.back_to(energy_of(job))
    context = {
        "job": job,
        "form": form,
        "pk": pk,
        "name": UseProfile.objects.get(pk=pk).name if pk else "",
        "is_assumed": pk is None and not job.use_profiles.exists(),
        "is_clock_assumed": found.is_clock_assumed,
        "may_remove": pk is not None and job.use_profiles.count() > 1,
    }
    return pages.render(request, "electrical/use_profile.html", context, status=form.http_status)


@require_POST
def remove(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    job = get_job(request, number, "wiring.change")
    Job.objects.select_for_update().get(pk=job.pk)
    gone = find(job, pk)
    if remove_profile(gone, access.signed_in(request)):
        messages.success(request, f"Use profile “{gone.name}” is removed.")
    else:
        messages.error(
            request, f"“{gone.name}” is the last use profile; a job keeps 1 at least. Change it."
        )
    return pages.back_to(energy_of(job))
