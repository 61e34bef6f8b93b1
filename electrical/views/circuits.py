from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from electrical import cautions, circuits
from electrical.cableway_room import room_of
from electrical.check import check
from electrical.finding_groups import grouped, numbers_by_circuit
from electrical.forms.circuits import CircuitForm
from electrical.listing import Listing
from electrical.models import Circuit
from electrical.reckoning import Reckoner
from electrical.shelf import shelf_of
from electrical.working import working_of
from fitout.jobs.access import get_job
from fitout.jobs.models import Job
from fitout.kit import access, pages
from fitout.kit.models import StaleVersion


def get_circuit(job: Job, pk: int) -> Circuit:
    circuit = Circuit.objects.filter(job=job, pk=pk).select_related("job").first()
    if circuit is None:
        raise Http404(f"{job.code} has no such circuit.")
    return circuit


@require_safe
def circuit(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    job = get_job(request, number, "wiring.view")
    checked = check(job)
    shown = checked.facts.circuit_by_id.get(pk)
    if shown is None:
        raise Http404(f"{job.code} has no such circuit.")
    groups = grouped(checked.facts, checked.by_circuit.get(pk, ()), shelf_of(checked))
    listing = Listing(checked, numbers_by_circuit(groups))
    context = {
        "job": job,
        "circuit": shown,
        "row": listing.row(shown),
        "groups": groups,
        "checks": Reckoner(checked).about(shown),
        "sections": [*working_of(checked, shown), *room_of(checked, shown)],
        "caution": cautions.TEXT,
        "may_edit": access.can(request.user, "wiring.change", job.stage),
    }
    fragments = {"circuit-panel": "electrical/_circuit_panel.html"}
    return pages.render(request, "electrical/circuit.html", context, fragments=fragments)


@require_http_methods(["GET", "HEAD", "POST"])
def edit(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    job = get_job(request, number, "wiring.change")
    shown = get_circuit(job, pk)
    if request.method != "POST":
        return form_page(request, job, CircuitForm(job, instance=shown), shown)
    form = CircuitForm(job, request.POST, instance=shown)
    if not form.is_valid():
        return form_page(request, job, form, get_circuit(job, pk), status=422)
    try:
        circuits.edit(
            get_circuit(job, pk),
            by=request.user,  # type: ignore[arg-type]
            version=form.cleaned_data["version"],
            devices=form.chosen_devices,
            **form.changes(),
        )
    except StaleVersion as stale:
        form.show_both(stale.current)
        return form_page(request, job, form, get_circuit(job, pk), status=409)
    return saved(request, job, f"{shown.label} is saved.", shown.label)


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.change")
    if request.method != "POST":
        return form_page(request, job, CircuitForm(job), None)
    form = CircuitForm(job, request.POST)
    if not form.is_valid():
        return form_page(request, job, form, None, status=422)
    values = {name: form.cleaned_data[name] for name in form.Meta.fields}
    values["cable_set_by_hand"] |= values["cable"] is not None
    values["protection_set_by_hand"] |= values["protection"] is not None
    try:
        made = circuits.add(job, by=request.user, devices=form.chosen_devices, **values)  # type: ignore[arg-type]
    except ValidationError as refused:
        form.add_error(None, refused)
        return form_page(request, job, form, None, status=422)
    return saved(request, job, f"{made.label} is added.", made.label)


def form_page(
    request: HttpRequest, job: Job, form: CircuitForm, shown: Circuit | None, *, status: int = 200
) -> HttpResponse:
    context: dict[str, Any] = {
        "job": job,
        "form": form,
        "circuit": shown,
        "caution": cautions.TEXT,
    }
    fragments = {"circuit-form": "electrical/_circuit_form.html"}
    return pages.render(
        request, "electrical/circuit_form.html", context, fragments=fragments, status=status
    )


@require_POST
def remove(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    job = get_job(request, number, "wiring.change")
    shown = get_circuit(job, pk)
    label = shown.label
    circuits.remove(shown, by=request.user)  # type: ignore[arg-type]
    return saved(request, job, f"{label} is removed.", "")


def saved(request: HttpRequest, job: Job, words: str, label: str) -> HttpResponse:
    messages.success(request, words)
    query = f"?circuit={label}" if label else ""
    return pages.back_to(f"{reverse('electrical:wiring', args=[job.number])}{query}")
