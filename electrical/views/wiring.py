from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_POST, require_safe

from electrical import cautions, circuits
from electrical.check import Checked, check
from electrical.devices import behind, refresh_devices
from electrical.finding_groups import grouped, numbers_by_circuit
from electrical.listing import Listing
from electrical.remedies import carry_out, read, require_offered
from electrical.schematic.arrange import arranged
from electrical.schematic.draw import draw_diagram
from electrical.shelf import CABLE_FIELDS, DEVICE_FIELDS, CannotRemedy, shelf_of
from electrical.wiring.wire_up import WiredUp, wire_up
from fitout.jobs.access import get_job
from fitout.jobs.models import Job
from fitout.kit import access, pages
from fitout.kit.models import AuditEntry, StaleVersion

FRAGMENTS = {"wiring": "electrical/_wiring.html"}
#: What a remedy may send; anything else in the form is none of its business.
REMEDY_FIELDS = (*CABLE_FIELDS, *DEVICE_FIELDS)


@require_safe
def wiring(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.view")
    return wiring_page(request, job)


def wiring_page(request: HttpRequest, job: Job, *, status: int = 200) -> HttpResponse:
    context = wiring_context(request, job)
    return pages.render(
        request, "electrical/wiring.html", context, fragments=FRAGMENTS, status=status
    )


def wiring_context(request: HttpRequest, job: Job) -> dict[str, Any]:
    checked = check(job)
    groups = grouped(checked.facts, checked.findings, shelf_of(checked))
    listing = Listing(checked, numbers_by_circuit(groups))
    selected = request.GET.get("circuit", "")[:6]
    user: Any = request.user
    return {
        "job": job,
        "checked": checked,
        "groups": groups,
        "rows": listing.rows,
        "zones": zones_with_circuits(listing),
        "behind": behind(job, checked.facts.devices),
        "diagram": diagram(checked, listing, selected),
        "selected": selected,
        "caution": cautions.TEXT,
        "may_edit": access.can(user, "wiring.change", job.stage),
        "undo": last_change(job, user),
    }


def zones_with_circuits(listing: Listing) -> list[tuple[str, str]]:
    """Code and name of every zone some circuit ends in, in the order of the hull plan."""
    used = {row.zone_code for row in listing.rows}
    return [(zone.code, zone.name) for zone in listing.facts.zones if zone.code in used]


def diagram(checked: Checked, listing: Listing, selected: str) -> str:
    """Wide and narrow, of which the stylesheet shows one; empty when there is nothing to draw.
    The drawing code escapes every text itself."""
    blocks = arranged(checked.facts, listing.branches())
    if not blocks:
        return ""
    title = f"Single-line diagram, {len(listing.rows)} circuits"
    drawn = (
        f'<div class="{name}">{draw_diagram(blocks, title=title, selected=selected, is_narrow=on)}'
        "</div>"
        for name, on in (("on-wide", False), ("on-narrow", True))
    )
    return mark_safe("".join(drawn))  # noqa: S308


def last_change(job: Job, user: Any) -> AuditEntry | None:
    entries = AuditEntry.objects.in_scope(job.scope).filter(actor=user)
    return entries.select_related("undone_by").order_by("-pk").first()


@require_POST
def wire(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.change")
    done = wire_up(job, request.user)  # type: ignore[arg-type]
    messages.success(request, told(done))
    return answer(request, job)


def told(done: WiredUp) -> str:
    """What wire up did, in one sentence."""
    if not (done.made or done.changed or done.removed):
        return "Everything was wired already; nothing changed."
    parts = [f"{done.made} circuits made", f"cable or protection chosen for {done.changed}"]
    if done.removed:
        parts.append(f"{done.removed} empty ones removed")
    return f"{', '.join(parts)}."


@require_POST
def remedy(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.change")
    if request.POST.get("wire_up"):
        return wire(request, number)
    checked = check(job)
    wanted = {int(pk) for pk in request.POST.getlist("circuit") if pk.isdecimal() and len(pk) < 16}
    found = [circuit for circuit in checked.facts.circuits if circuit.pk in wanted]
    if not found:
        messages.error(request, "This circuit is no longer there.")
        return answer(request, job)
    change = {name: request.POST[name][:60] for name in REMEDY_FIELDS if name in request.POST}
    try:
        require_offered(checked.findings, found, read(change))
        told = carry_out(shelf_of(checked), found, change, request.user)  # type: ignore[arg-type]
        messages.success(request, told)
    except CannotRemedy as reason:
        messages.error(request, str(reason))
    except StaleVersion:
        messages.error(request, "A circuit was changed by somebody else meanwhile; look again.")
    return answer(request, job, found[0].label)


@require_POST
def follow_sheet(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.change")
    refresh_devices(job, request.user)  # type: ignore[arg-type]
    messages.success(request, "The devices are as the build sheet has them.")
    return answer(request, job)


@require_POST
def renumber(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.change")
    moved = circuits.renumber(job, by=request.user)  # type: ignore[arg-type]
    words = f"{moved} circuits have a new number." if moved else "The numbers run on already."
    messages.success(request, words)
    return answer(request, job)


def answer(request: HttpRequest, job: Job, label: str = "") -> HttpResponse:
    """The diagram, findings and table as they are now; or back to the page."""
    if pages.wanted_fragment(request, FRAGMENTS) is not None:
        return pages.changed(wiring_page(request, job), "circuits-changed")
    query = f"?circuit={label}" if label else ""
    return pages.back_to(f"{reverse('electrical:wiring', args=[job.number])}{query}")
