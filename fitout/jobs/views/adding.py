"""Add to the build sheet: pick from the catalogue, or write a line."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from fitout.jobs import sheet
from fitout.jobs.access import get_job
from fitout.jobs.forms.lines import (
    AddKitForm,
    AddLabourForm,
    AddPartForm,
    AddProvisionalForm,
    AddSubcontractForm,
    AddSuppliedForm,
    ZonedForm,
)
from fitout.jobs.models import Job, Line, Zone
from fitout.jobs.offer import find
from fitout.kit import pages

from .lines import htmx_wants
from .sheet import sheet_context

WRITTEN: dict[str, tuple[str, type[ZonedForm]]] = {
    "subcontract": ("Subcontract", AddSubcontractForm),
    "provisional": ("Provisional sum", AddProvisionalForm),
    "customer": ("Customer-supplied", AddSuppliedForm),
}
PICKED: dict[str, type[ZonedForm]] = {
    "part": AddPartForm,
    "kit": AddKitForm,
    "labour": AddLabourForm,
}


@require_http_methods(["GET", "HEAD", "POST"])
def add(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "build_sheet.change")
    if request.method == "POST":
        return _add(request, job)
    kind = request.GET.get("kind", "")
    form = WRITTEN[kind][1](job, initial=_initial(request, job)) if kind in WRITTEN else None
    return add_page(request, job, kind=kind, form=form)


def _initial(request: HttpRequest, job: Job) -> dict[str, Any]:
    zone = zone_asked(request, list(job.vessel.zones.all()))
    return {"zone": zone.pk} if zone else {}


def _add(request: HttpRequest, job: Job) -> HttpResponse:
    kind = request.POST.get("kind", "")
    form_class = PICKED.get(kind) or (WRITTEN[kind][1] if kind in WRITTEN else None)
    if form_class is None:
        messages.error(request, "Kind of line: choose what to add.")
        return add_page(request, job, kind="", form=None, status=422)
    form = form_class(job, request.POST)
    if not form.is_valid():
        return add_page(request, job, kind=kind, form=form, status=422)
    try:
        line = ADDERS[kind](job, form, request.user)
    except (ValidationError, sheet.SheetError) as refused:
        for reason in getattr(refused, "messages", None) or [str(refused)]:
            form.add_error(None, reason)
        return add_page(request, job, kind=kind, form=form, status=422)
    return _added(request, job, line)


def _added(request: HttpRequest, job: Job, line: Line) -> HttpResponse:
    code = sheet.code_of(line)
    target = f"zone-{line.zone.code}"
    if not htmx_wants(request, target):
        messages.success(request, f"{code} {line.description} is added.")
        again = request.POST.get("again")
        url = reverse("jobs:add" if again else "jobs:sheet", args=[job.number])
        return pages.back_to(f"{url}?zone={line.zone.code}" if again else f"{url}#line-{line.pk}")
    context = sheet_context(request, job)
    context |= {"zone": context["page"].zone(line.zone.code), "added": line.pk}
    response = pages.render(request, "jobs/_added_line.html", context)
    return pages.changed(response, "lines-changed")


def add_page(
    request: HttpRequest, job: Job, *, kind: str, form: ZonedForm | None, status: int = 200
) -> HttpResponse:
    asked = request.GET.get("q", "")[:100].replace("\0", "")
    zones = list(job.vessel.zones.all())
    zone = zone_asked(request, zones)
    context = {
        "job": job,
        "kind": kind,
        "written": [(name, word) for name, (word, _) in WRITTEN.items()],
        "form": form,
        "picked": kind in PICKED and form is not None,
        "asked": asked,
        "found": find(asked),
        "zones": zones,
        "zone": zone,
        "in_sheet": zone is not None and htmx_wants(request, f"found-{zone.code}"),
        "base": f"/jobs/{job.number}/",
    }
    fragments = {f"found-{one.code}": "jobs/_found.html" for one in zones}
    fragments |= {f"zone-{one.code}": "jobs/_refused_pick.html" for one in zones}
    fragments["found"] = "jobs/_found.html"
    response = pages.render(request, "jobs/add.html", context, fragments=fragments, status=status)
    if zone and htmx_wants(request, f"zone-{zone.code}"):
        response.headers["HX-Retarget"] = f"#found-{zone.code}"
        response.headers["HX-Reswap"] = "outerHTML"
    return response


def zone_asked(request: HttpRequest, zones: list[Zone]) -> Zone | None:
    """By its code in a link, by its key in a form; else the first."""
    code, key = request.GET.get("zone", ""), request.POST.get("zone", "")
    for zone in zones:
        if zone.code == code or str(zone.pk) == key:
            return zone
    return zones[0] if zones else None


def _part(job: Job, form: Any, user: Any) -> Line:
    data = form.cleaned_data
    return sheet.add_part(job, data["zone"], data["item"], by=user, details=form.details())


def _kit(job: Job, form: Any, user: Any) -> Line:
    data = form.cleaned_data
    return sheet.add_kit(job, data["zone"], data["item"], by=user, details=form.details())


def _labour(job: Job, form: Any, user: Any) -> Line:
    data = form.cleaned_data
    return sheet.add_labour(job, data["zone"], data["item"], by=user, details=form.details())


def _subcontract(job: Job, form: Any, user: Any) -> Line:
    data = form.cleaned_data
    return sheet.add_subcontract(
        job,
        data["zone"],
        data["supplier"],
        description=data["description"],
        unit_cost=data["unit_cost"],
        trade=data["trade"],
        by=user,
        details=form.details(),
    )


def _provisional(job: Job, form: Any, user: Any) -> Line:
    data = form.cleaned_data
    return sheet.add_provisional(
        job,
        data["zone"],
        description=data["description"],
        amount=data["amount"],
        trade=data["trade"],
        by=user,
        details=form.details(),
    )


def _supplied(job: Job, form: Any, user: Any) -> Line:
    data = form.cleaned_data
    return sheet.add_customer_supplied(
        job,
        data["zone"],
        description=data["description"],
        part=data["part_code"],
        mass_kg=data["mass_kg"],
        trade=data["trade"],
        by=user,
        details=form.details(),
    )


ADDERS: dict[str, Callable[[Job, Any, Any], Line]] = {
    "part": _part,
    "kit": _kit,
    "labour": _labour,
    "subcontract": _subcontract,
    "provisional": _provisional,
    "customer": _supplied,
}
