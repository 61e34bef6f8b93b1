"""One line of the build sheet: edit it, open its kit, change its choice, move it, remove it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fitout.jobs import figures, sheet
from fitout.jobs.access import get_job
from fitout.jobs.forms.lines import LineForm, MoveForm
from fitout.jobs.models import Choice, Job, Line
from fitout.jobs.sheet.editing import line_of
from fitout.kit import pages
from fitout.kit.access import sees_money
from fitout.kit.models import StaleVersion

from .sheet import ids_in, sheet_context


def get_line(request: HttpRequest, number: int, line_id: int, action: str) -> tuple[Job, Line]:
    job = get_job(request, number, action)
    line = line_of(job, line_id)
    if line is None:
        raise Http404(f"{job.code} has no such line.")
    return job, line


@require_http_methods(["GET", "HEAD", "POST"])
def line(request: HttpRequest, number: int, line_id: int) -> HttpResponse:
    job, shown = get_line(request, number, line_id, "build_sheet.change")
    if request.method != "POST":
        return edit_page(request, job, shown, LineForm(instance=shown))
    form = LineForm(request.POST, instance=shown)
    if not form.is_valid():
        return edit_page(request, job, shown, form, status=422)
    try:
        sheet.edit(
            shown,
            by=request.user,
            version=form.cleaned_data["version"],
            conditions=form.new_conditions,
            **form.changes(),
        )
    except StaleVersion as stale:
        form.show_both(stale.current)
        return edit_page(request, job, shown, form, status=409)
    except ValidationError as refused:
        form.add_error(None, refused)
        return edit_page(request, job, shown, form, status=422)
    return line_answer(request, shown)


def edit_page(
    request: HttpRequest,
    job: Job,
    shown: Line,
    form: LineForm,
    status: int = 200,
    *,
    move_form: MoveForm | None = None,
) -> HttpResponse:
    context = {
        "job": job,
        "line": shown,
        "code": sheet.code_of(Line.objects.for_edit().get(pk=shown.pk)),
        "form": form,
        "move_form": move_form or MoveForm(job),
        "base": f"/jobs/{job.number}/",
        "steps": figures.explain_price(job, shown.pk) if sees_money(request.user) else (),
    }
    row = "jobs/_edit_row.html"
    fragments = {f"line-{shown.pk}": row, "lines": row}
    return pages.render(request, "jobs/line.html", context, fragments=fragments, status=status)


def line_answer(request: HttpRequest, changed: Line) -> HttpResponse:
    """The row as it is now, with the sums of its zone; or back to the sheet.

    Only the zone is read: the page asks for the plan and the sums of the job by itself.
    """
    job, target = changed.job, f"line-{changed.pk}"
    if not htmx_wants(request, target):
        return pages.back_to(f"{reverse('jobs:sheet', args=[job.number])}#{target}")
    context = sheet_context(request, job, zone=changed.zone, open_ids=above(changed))
    page = context["page"]
    context |= {"row": page.row(changed.pk), "zone": page.zones[0]}
    response = pages.render(request, "jobs/_saved_line.html", context)
    return pages.changed(response, "lines-changed")


def above(line: Line) -> set[int]:
    """A line inside a kit is only among the rows when the kits above it are open."""
    found: set[int] = set()
    parent = line.parent
    while parent is not None:
        found.add(parent.pk)
        parent = parent.parent
    return found


def htmx_wants(request: HttpRequest, target: str) -> bool:
    return pages.wanted_fragment(request, {target: "yes"}) is not None


@require_safe
def kit(request: HttpRequest, number: int, line_id: int) -> HttpResponse:
    """The row with what its kit holds below it, or without."""
    job = get_job(request, number)
    opening = "open" in request.GET
    open_ids = {line_id} if opening else set()
    if not htmx_wants(request, f"line-{line_id}"):
        query = f"?open={line_id}" if opening else ""
        return pages.back_to(f"{reverse('jobs:sheet', args=[number])}{query}#line-{line_id}")
    lines = sheet.sheet_lines(job)
    found = next((item for item in lines if item.id == line_id), None)
    if found is None:
        raise Http404(f"{job.code} has no such line.")
    parents = {item.id: item.parent_id for item in lines}
    above = found.parent_id
    while above is not None:
        open_ids.add(above)
        above = parents[above]
    context = sheet_context(request, job, open_ids=open_ids)
    context |= {
        "row": context["page"].row(line_id),
        "kids": [
            row
            for zone in context["page"].zones
            for row in zone.rows
            if opening and row.line.parent_id == line_id
        ],
        "gone": [] if opening else below_of(line_id, parents),
    }
    return pages.render(request, "jobs/_kit_rows.html", context)


def below_of(line_id: int, parents: dict[int, int | None]) -> list[int]:
    found: list[int] = []
    waiting = [line_id]
    while waiting:
        here = waiting.pop()
        kids = [child for child, parent in parents.items() if parent == here]
        found += kids
        waiting += kids
    return found


@require_POST
def choice(request: HttpRequest, number: int, line_id: int) -> HttpResponse:
    """Included, then option, then option taken, then included again."""
    _, shown = get_line(request, number, line_id, "build_sheet.change")
    if shown.parent_id is not None:
        messages.error(request, f"{sheet.code_of(shown)} stands in a kit and follows its choice.")
        return line_answer(request, shown)
    if shown.choice == Choice.INCLUDED:
        changes: dict[str, Any] = {"choice": Choice.OPTION, "taken": False}
    elif not shown.taken:
        changes = {"taken": True}
    else:
        changes = {"choice": Choice.INCLUDED, "taken": False}
    try:
        sheet.edit(shown, by=request.user, version=shown.version, **changes)
    except StaleVersion:
        messages.error(request, "Somebody else changed this line meanwhile; look again.")
    return line_answer(request, shown)


@require_POST
def move(request: HttpRequest, number: int, line_id: int) -> HttpResponse:
    job, shown = get_line(request, number, line_id, "build_sheet.change")
    form = MoveForm(job, request.POST)
    if not form.is_valid():
        return refused_move(request, job, shown, form)
    to = form.cleaned_data["to"]
    try:
        if to == "zone":
            sheet.move_to_zone(shown, form.cleaned_data["zone"], by=request.user)
        else:
            sheet.move_by(shown, -1 if to == "up" else 1, by=request.user)
    except (sheet.SheetError, StaleVersion) as reason:
        form.add_error(None, str(reason))
        return refused_move(request, job, shown, form)
    return lines_answer(request, job, moved=shown)


def refused_move(request: HttpRequest, job: Job, shown: Line, form: MoveForm) -> HttpResponse:
    """The lines were to be put in anew; only the row in hand is, with what is wrong."""
    response = edit_page(request, job, shown, LineForm(instance=shown), 422, move_form=form)
    response.headers["HX-Retarget"] = f"#line-{shown.pk}"
    return response


@require_POST
def remove(request: HttpRequest, number: int, line_id: int) -> HttpResponse:
    job, shown = get_line(request, number, line_id, "build_sheet.change")
    try:
        code = sheet.remove(shown, by=request.user)
    except sheet.SheetError as reason:
        messages.error(request, str(reason))
        return lines_answer(request, job)
    messages.success(request, f"{code} {shown.description} is removed.")
    return lines_answer(request, job)


def lines_answer(request: HttpRequest, job: Job, moved: Line | None = None) -> HttpResponse:
    """All lines again, where numbers or places may have moved; or back to the sheet."""
    if not htmx_wants(request, "lines"):
        place = f"#line-{moved.pk}" if moved else ""
        return pages.back_to(reverse("jobs:sheet", args=[job.number]) + place)
    context = sheet_context(request, job, open_ids=ids_in(request.POST.getlist("open")))
    context["moved"] = moved.pk if moved else None
    response = pages.render(request, "jobs/_changed_lines.html", context)
    return pages.changed(response, "lines-changed")
