from __future__ import annotations

from itertools import groupby
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from fitout.handover.forms import ReadingForm
from fitout.handover.models import Outcome, TestReading, TestSheet
from fitout.handover.test_sheets import enter, generate
from fitout.jobs.access import get_job
from fitout.jobs.models import Job
from fitout.kit.access import can, signed_in
from fitout.kit.models import StaleVersion
from fitout.kit.pages import back_to, render


@require_POST
def make_sheets(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "tests.make")
    added = generate(job, by=signed_in(request))
    messages.success(request, f"Test sheets follow the circuits; {added} new rows.")
    return back_to(reverse("handover:overview", args=[number]))


def sheet_page(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    job = get_job(request, number)
    sheet = get_object_or_404(TestSheet, pk=pk, job=job)
    return _sheet_page(request, job, sheet)


def _sheet_page(
    request: HttpRequest,
    job: Job,
    sheet: TestSheet,
    wrong: ReadingForm | None = None,
    status: int = 200,
) -> HttpResponse:
    readings = list(sheet.readings.select_related("tested_by", "circuit"))
    rows = [
        {
            "reading": reading,
            "form": wrong
            if wrong is not None and wrong.reading.pk == reading.pk
            else ReadingForm(reading=reading, prefix=f"r{reading.pk}"),
        }
        for reading in readings
    ]
    context = {
        "job": job,
        "sheet": sheet,
        "rows": rows,
        "groups": grouped(rows),
        "done": sum(reading.outcome != Outcome.OPEN for reading in readings),
        "may_enter": can(request.user, "tests.enter", job.stage),
    }
    return render(request, "handover/sheet.html", context, status=status)


def grouped(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Rows of one circuit stand under its name; a system's sheet is one group without a name."""
    found = []
    for circuit, own in groupby(rows, key=lambda row: row["reading"].circuit):
        group = list(own)
        left = sum(row["reading"].outcome == Outcome.OPEN for row in group)
        name = str(circuit) if circuit is not None else ""
        found.append({"name": name, "rows": group, "open": left})
    return found


@require_POST
def enter_reading(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    job = get_job(request, number, "tests.enter")
    readings = TestReading.objects.select_related("sheet__job", "tested_by")
    reading = get_object_or_404(readings, pk=pk, sheet__job=job)
    form = ReadingForm(request.POST, reading=reading, prefix=f"r{reading.pk}")
    if not form.is_valid():
        return _sheet_page(request, job, reading.sheet, form, status=422)
    try:
        enter(
            reading,
            measured=form.cleaned_data.get("measured"),
            outcome=form.cleaned_data["outcome"],
            remark=form.cleaned_data["remark"],
            by=signed_in(request),
            at=timezone.now(),
            version=form.cleaned_data["version"],
        )
    except StaleVersion as stale:
        form.add_error(None, _changed_by_other(stale.current))
        return _sheet_page(request, job, reading.sheet, form, status=409)
    page = reverse("handover:sheet", args=[number, reading.sheet.pk])
    return back_to(f"{page}#r{reading.pk}")


def _changed_by_other(reading: TestReading | None) -> str:
    if reading is None:
        return "Somebody made the test sheets again meanwhile; this row is gone."
    measured = (
        ""
        if reading.measured is None
        else f", measured {reading.measured.normalize():f} {reading.unit}"
    )
    who = reading.tested_by or "Somebody else"
    return f"{who} entered this meanwhile: {reading.get_outcome_display().lower()}{measured}."
