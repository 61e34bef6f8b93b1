from __future__ import annotations

import re
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fitout.jobs.access import get_job
from fitout.jobs.forms.hull import NodeForm, SegmentForm, ZoneForm
from fitout.jobs.hullplan import editing
from fitout.jobs.hullplan.cableways import cableways_of, gaps
from fitout.jobs.hullplan.drawing import deck_plan, profile
from fitout.jobs.hullplan.markers import markers_of
from fitout.jobs.hullplan.plan import read_plan
from fitout.jobs.models import CablewayNode, CablewaySegment, Job, Zone
from fitout.jobs.sheet import sheet_lines
from fitout.kit import access, pages
from fitout.kit.models import StaleVersion

FIGURES = re.compile(r"\d+")

PIECES: dict[str, tuple[str, Any, Any]] = {
    "zone": ("Zone", Zone, ZoneForm),
    "node": ("Node", CablewayNode, NodeForm),
    "segment": ("Segment", CablewaySegment, SegmentForm),
}


@require_safe
def hull(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number)
    plan = read_plan(job.vessel, markers_of(sheet_lines(job)))
    zones = list(job.vessel.zones.all())
    chosen = request.GET.get("zone", "")[:3].upper()
    options: dict[str, Any] = {"chosen": chosen, "zone_link": lambda code: f"?zone={code}"}
    context = {
        "job": job,
        "profile": profile(plan, **options),
        "deck": deck_plan(plan, nodes=True, **options),
        "zones": zones,
        "nodes": sorted(
            job.vessel.nodes.select_related("zone"), key=lambda node: by_number(node.code)
        ),
        "cableways": cableways_of(plan),
        "gaps": [*zones_outside(zones), *gaps(plan)],
        "may_edit": access.can(request.user, "hull_plan.change", job.stage),
        "chosen": chosen,
    }
    return pages.render(request, "jobs/hull.html", context)


def by_number(code: str) -> list[tuple[str, int]]:
    """N2 before N10."""
    letters = FIGURES.split(code)
    figures = [*map(int, FIGURES.findall(code)), 0]
    return list(zip(letters, figures, strict=True))


def zones_outside(zones: list[Zone]) -> list[str]:
    """Zones that no longer fit, because the vessel's dimensions were changed since."""
    found = []
    for zone in zones:
        try:
            zone.clean()
        except ValidationError as refused:
            found.append(f"Zone {zone.code}: {' '.join(refused.messages)}")
    return found


@require_http_methods(["GET", "HEAD", "POST"])
def new_piece(request: HttpRequest, number: int, kind: str) -> HttpResponse:
    job = get_job(request, number, "hull_plan.change")
    return _piece_page(request, job, kind, PIECES[kind][1](vessel=job.vessel))


@require_http_methods(["GET", "HEAD", "POST"])
def piece(request: HttpRequest, number: int, kind: str, pk: int) -> HttpResponse:
    job = get_job(request, number, "hull_plan.change")
    return _piece_page(request, job, kind, _found(job, kind, pk))


def _found(job: Job, kind: str, pk: int) -> Any:
    found = PIECES[kind][1].objects.filter(vessel=job.vessel, pk=pk).first()
    if found is None:
        raise Http404(f"The hull plan of {job.code} has no such {kind}.")
    found.vessel = job.vessel
    return found


def _piece_page(request: HttpRequest, job: Job, kind: str, shown: Any) -> HttpResponse:
    form_class = PIECES[kind][2]
    if request.method != "POST":
        return _form_page(request, job, kind, shown, form_class(job.vessel, instance=shown))
    form = form_class(job.vessel, request.POST, instance=shown)
    if not form.is_valid():
        return _form_page(request, job, kind, shown, form, status=422)
    try:
        editing.save(job, form.instance, version=form.cleaned_data.get("version"), by=request.user)
    except StaleVersion as stale:
        form.show_both(stale.current)
        return _form_page(request, job, kind, shown, form, status=409)
    messages.success(request, f"{PIECES[kind][0]} {form.instance} is saved.")
    for gap in gaps(read_plan(job.vessel)):
        messages.warning(request, gap)
    return pages.back_to(reverse("jobs:hull", args=[job.number]))


def _form_page(
    request: HttpRequest, job: Job, kind: str, shown: Any, form: Any, *, status: int = 200
) -> HttpResponse:
    stored = PIECES[kind][1].objects.filter(pk=shown.pk).first() if shown.pk else None
    context = {
        "job": job,
        "kind": kind,
        "word": PIECES[kind][0],
        "stored": stored,
        "form": form,
        "plan": deck_plan(read_plan(job.vessel), nodes=True, chosen=getattr(stored, "code", "")),
        "box": job.vessel.box_m,
    }
    return pages.render(request, "jobs/hull_piece.html", context, status=status)


@require_POST
def remove(request: HttpRequest, number: int, kind: str, pk: int) -> HttpResponse:
    job = get_job(request, number, "hull_plan.change")
    found = _found(job, kind, pk)
    words = f"{PIECES[kind][0]} {found}"
    try:
        editing.remove(job, found, by=request.user)
    except editing.CannotRemovePiece as reason:
        messages.error(request, str(reason))
    else:
        messages.success(request, f"{words} is removed.")
    return pages.back_to(reverse("jobs:hull", args=[job.number]))
