from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from electrical import cautions
from electrical.adapters.loads import duties_of
from electrical.day_plans import set_duties
from electrical.devices import tell
from electrical.facts import is_parallel_switch, load_facts
from electrical.forms.devices import DeviceForm, DutyForm
from electrical.models import Device, DutyOverride
from electrical.solar_strings import string_steps
from electrical.wiring.grouping import needs_power
from fitout.jobs.access import get_job
from fitout.jobs.models import Job
from fitout.kit import pages
from fitout.kit.models import StaleVersion


@require_http_methods(["GET", "HEAD", "POST"])
def device(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Two small forms: what only a person knows, and how long it is on."""
    job = get_job(request, number, "wiring.change")
    shown = Device.objects.filter(job=job, pk=pk).select_related("job", "zone").first()
    if shown is None:
        raise Http404(f"{job.code} has no such device.")
    is_duties = request.POST.get("form") == "duties"
    about = DeviceForm(request.POST if request.POST and not is_duties else None, instance=shown)
    duties = duty_form(job, shown, request.POST if is_duties else None)
    if request.method == "POST" and stored(request, shown, about, duties, is_duties=is_duties):
        messages.success(request, f"{shown.label} is saved.")
        return pages.back_to(reverse("electrical:device", args=[job.number, shown.pk]))
    facts = load_facts(job)
    known = facts.device_by_id[shown.pk]
    context = {
        "job": job,
        "device": shown,
        "known": known,
        "fed_by": facts.fed_by.get(shown.pk, ()),
        "feeds": facts.starting_at.get(shown.pk, ()),
        "is_parallel_switch": is_parallel_switch(known),
        "string": string_steps(facts, facts.device_by_id[shown.pk]),
        "form": about,
        "duties": duties,
        "caution": cautions.TEXT,
    }
    status = 422 if request.method == "POST" else 200
    return pages.render(request, "electrical/device.html", context, status=status)


def duty_form(job: Job, shown: Device, data: Any) -> DutyForm | None:
    facts = load_facts(job)
    known = facts.device_by_id[shown.pk]
    if not needs_power(known):
        return None
    kept = {row.state: row.duty for row in DutyOverride.objects.filter(device=shown)}
    own = duties_of(without_overrides(facts), known)
    return DutyForm(own, kept, data)


def without_overrides(facts: Any) -> Any:
    from dataclasses import replace

    return replace(facts, duty_overrides={})


def stored(
    request: HttpRequest,
    shown: Device,
    about: DeviceForm,
    duties: DutyForm | None,
    *,
    is_duties: bool,
) -> bool:
    user: Any = request.user
    if is_duties:
        if duties is None or not duties.is_valid():
            return False
        set_duties(shown, duties.duties(), user)
        return True
    if not about.is_valid():
        return False
    try:
        tell(shown, by=user, version=about.cleaned_data["version"], **about.answers())
    except StaleVersion as stale:
        about.show_both(stale.current)
        return False
    return True
