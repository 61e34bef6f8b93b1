"""Electrical documents as PDF, as they stand now; issued ones are kept with the handover pack."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from electrical import cautions, documents
from electrical.check import check
from fitout.jobs.access import get_job
from fitout.jobs.models import Job
from fitout.kit.pdf import render_pdf

SHEETS = ("print/doc.css", "print/wiring.css")


@require_safe
def circuit_list(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.view")
    paper = documents.circuit_list(check(job))
    context = {"job": job, "paper": paper, "today": timezone.localdate()}
    return pdf(job, "circuit-list", "electrical/print/circuit_list.html", context)


@require_safe
def labels(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.view")
    context = {
        "job": job,
        "labels": documents.wire_labels(check(job)),
        "today": timezone.localdate(),
    }
    return pdf(job, "labels", "electrical/print/labels.html", context)


@require_safe
def schematic(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.view")
    today = timezone.localdate()
    sheets = documents.schematic_sheets(
        check(job), today=today, created_by=str(request.user), status="Draft"
    )
    if not sheets:
        context = {"job": job, "labels": [], "today": today}
        return pdf(job, "schematic", "electrical/print/nothing.html", context)
    context = {"job": job, "sheets": sheets}
    return pdf(job, "schematic", "electrical/print/schematic.html", context)


def pdf(job: Job, name: str, template: str, context: dict[str, Any]) -> HttpResponse:
    content = render_pdf(template, {**context, "cautions": cautions.ALL}, sheets=SHEETS)
    response = HttpResponse(content, content_type="application/pdf")
    response.headers["Content-Disposition"] = f'inline; filename="{job.code}-{name}.pdf"'
    return response
