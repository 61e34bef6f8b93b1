"""Parts of a job: what it needs, where each part is, what goes on the next orders."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from catalogue.models import Part
from fitout.jobs.access import get_job
from fitout.kit.access import can, signed_in
from fitout.kit.pages import back_to, render
from fitout.kit.text import counted
from fitout.purchasing.followup import progress_of
from fitout.purchasing.forms import MoveForm
from fitout.purchasing.models import Movement
from fitout.purchasing.moving import CannotMove, move, next_move, put_right
from fitout.purchasing.needs import needs_of, shortages
from fitout.purchasing.ordering import CannotOrder, propose
from fitout.purchasing.overview import (
    last_movements,
    order_groups,
    orders_of,
    parts_overview,
    shortage_groups,
)


def job_parts(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number)
    needs = needs_of(job)
    today = timezone.localdate()
    overview = parts_overview(needs, wanted=request.GET.get("show", ""))
    missing, orders = shortages(needs, today), orders_of(job)
    context = {
        "job": job,
        "overview": overview,
        "shortages": missing,
        "shortage_groups": shortage_groups(missing),
        "orders": orders,
        "order_groups": order_groups(orders),
        "movements": last_movements(job),
        "today": today,
        "may_order": can(request.user, "orders.change", job.stage),
        "may_move": can(request.user, "parts.move", job.stage),
        "sees_orders": can(request.user, "orders.view"),
    }
    return render(
        request,
        "purchasing/job.html",
        context,
        fragments={"parts": "purchasing/_parts.html"},
    )


@require_POST
def propose_orders(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "orders.change")
    try:
        drafts = propose(job, by=signed_in(request), today=timezone.localdate())
    except CannotOrder as trouble:
        messages.error(request, str(trouble))
    else:
        words = "Nothing is missing that a supplier offers."
        if drafts:
            words = f"{counted(len(drafts), 'draft')} ready to check and send."
        messages.success(request, words)
    return back_to(reverse("purchasing:job", args=[number]))


def move_part(request: HttpRequest, number: int, part_id: int) -> HttpResponse:
    job = get_job(request, number, "parts.move")
    part = get_object_or_404(Part, pk=part_id)
    progress = progress_of(job, part)
    unit = part.get_unit_display()
    form = MoveForm(request.POST or None, initial=next_move(progress), unit=unit)
    if request.method == "POST" and form.is_valid():
        try:
            move(
                job,
                part,
                form.cleaned_data["kind"],
                form.cleaned_data["quantity"],
                by=signed_in(request),
                at=timezone.now(),
                note=form.cleaned_data["note"],
            )
        except CannotMove as trouble:
            form.add_error("quantity", str(trouble))
        else:
            messages.success(request, f"{part.code} moved.")
            return back_to(reverse("purchasing:job", args=[number]))
    context = {
        "job": job,
        "part": part,
        "form": form,
        "progress": progress,
        "tab_path": reverse("purchasing:job", args=[number]),
    }
    status = 422 if form.is_bound else 200
    return render(request, "purchasing/move.html", context, status=status)


@require_POST
def put_right_movement(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    job = get_job(request, number, "parts.move")
    movement = get_object_or_404(Movement, pk=pk, job=job)
    try:
        put_right(movement, by=signed_in(request), at=timezone.now())
    except CannotMove as trouble:
        messages.error(request, str(trouble))
    else:
        messages.success(request, f"{movement.part.code} put right.")
    return back_to(reverse("purchasing:job", args=[number]))
