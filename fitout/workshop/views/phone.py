"""A technician's pages: my work, one task, the clock, ticks and snags. Made for a thumb."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from catalogue.models import Part
from electrical.models import Circuit
from fitout.jobs.hullplan.drawing import deck_plan
from fitout.jobs.hullplan.plan import read_plan
from fitout.kit.access import require, signed_in
from fitout.kit.pages import back_to, render
from fitout.purchasing.moving import CannotMove
from fitout.workshop.board import place_in, work_of
from fitout.workshop.clock import (
    CannotBook,
    booked_s,
    clock_text,
    finish,
    hold,
    open_run,
    start,
    stop,
)
from fitout.workshop.forms import HoldForm, SnagForm
from fitout.workshop.models import MadeCircuit, Task
from fitout.workshop.snags import raise_snag
from fitout.workshop.task_facts import facts_of_tasks, pick_for


def work(request: HttpRequest) -> HttpResponse:
    today = timezone.localdate()
    context = {
        "work": work_of(signed_in(request), today=today),
        "running": open_run(signed_in(request)),
        "today": today,
    }
    return render(request, "workshop/work.html", context)


def get_task(request: HttpRequest, pk: int) -> Task:
    """A technician opens their own tasks; the office opens any."""
    tasks = Task.objects.select_related(
        "job__vessel", "job__customer", "zone", "trade"
    ).prefetch_related("lines", "circuits", "after")
    if not signed_in(request).sees_money:
        tasks = tasks.filter(assigned_to=signed_in(request))
    task = get_object_or_404(tasks, pk=pk)
    require(request.user, "work.do", task.job.stage)
    return task


def task_page(request: HttpRequest, pk: int) -> HttpResponse:
    return _task_page(request, get_task(request, pk))


def _task_page(
    request: HttpRequest,
    task: Task,
    *,
    snag: SnagForm | None = None,
    holding: HoldForm | None = None,
    trouble: str = "",
) -> HttpResponse:
    today, now = timezone.localdate(), timezone.now()
    running = open_run(signed_in(request))
    is_running = running is not None and running.task_id == task.pk
    mine = work_of(signed_in(request), today=today)
    day = [*mine.done_today, *mine.today]
    place, of = place_in(day, task)
    seconds = booked_s(task, at=now)
    context: dict[str, Any] = {
        "task": task,
        "job": task.job,
        "facts": facts_of_tasks(task.job, [task])[0],
        "day": day,
        "place": place,
        "of": of,
        "today": today,
        "is_running": is_running,
        "booked_s": seconds,
        "booked": clock_text(seconds),
        "plan": _plan(task),
        "snags": list(task.snags.all()),
        "snag": snag or SnagForm(),
        "holding": holding or HoldForm(),
        "trouble": trouble,
        "opened": "snag" if snag else "hold" if holding else "",
    }
    status = 422 if snag or holding or trouble else 200
    return render(request, "workshop/task.html", context, status=status)


def _plan(task: Task) -> str:
    chosen = task.zone.code if task.zone else ""
    return deck_plan(read_plan(task.job.vessel), small=True, chosen=chosen)


def _back(task: Task) -> HttpResponse:
    return back_to(reverse("workshop:task", args=[task.pk]))


@require_POST
def start_clock(request: HttpRequest, pk: int) -> HttpResponse:
    task = get_task(request, pk)
    try:
        start(task, by=signed_in(request), at=timezone.now())
    except CannotBook as trouble:
        return _task_page(request, task, trouble=str(trouble))
    return _back(task)


@require_POST
def stop_clock(request: HttpRequest, pk: int) -> HttpResponse:
    task = get_task(request, pk)
    stop(task, by=signed_in(request), at=timezone.now())
    return _back(task)


@require_POST
def task_done(request: HttpRequest, pk: int) -> HttpResponse:
    """Done asks once more while parts or circuits are unticked."""
    task = get_task(request, pk)
    unticked = facts_of_tasks(task.job, [task])[0].unticked
    if unticked and request.POST.get("sure") != "yes":
        plural = "" if unticked == 1 else "s"
        words = (
            f"{unticked} part{plural} or circuit{plural} not ticked. Press done again if it is so."
        )
        return _task_page(request, task, trouble=words)
    try:
        finish(task, by=signed_in(request), at=timezone.now())
    except CannotBook as trouble:
        return _task_page(request, task, trouble=str(trouble))
    messages.success(request, f"“{task}” is done.")
    return back_to(reverse("workshop:work"))


@require_POST
def task_held(request: HttpRequest, pk: int) -> HttpResponse:
    task = get_task(request, pk)
    form = HoldForm(request.POST)
    if not form.is_valid():
        return _task_page(request, task, holding=form)
    try:
        hold(task, reason=form.cleaned_data["reason"], by=signed_in(request), at=timezone.now())
    except CannotBook as trouble:
        form.add_error("reason", str(trouble))
        return _task_page(request, task, holding=form)
    return _back(task)


@require_POST
def pick_part(request: HttpRequest, pk: int, part_id: int) -> HttpResponse:
    """Tick a part: what is here of it is picked for the job."""
    task = get_task(request, pk)
    part = get_object_or_404(Part, pk=part_id)
    picks = {pick.part.pk: pick for pick in facts_of_tasks(task.job, [task])[0].picks}
    pick = picks.get(part.pk)
    if pick is None:
        return _task_page(request, task, trouble=f"{part.code} is not a part of this task.")
    if pick.is_picked:
        return _back(task)
    if pick.can_pick <= 0:
        return _task_page(request, task, trouble=f"{part.code} is not here yet.")
    try:
        pick_for(task, part, pick.can_pick, by=signed_in(request), at=timezone.now())
    except CannotMove as trouble:
        return _task_page(request, task, trouble=str(trouble))
    return _back(task)


@require_POST
def circuit_made(request: HttpRequest, pk: int, circuit_id: int) -> HttpResponse:
    """Tick or untick a circuit of this task; `made` says which way."""
    task = get_task(request, pk)
    circuit = get_object_or_404(Circuit, pk=circuit_id, tasks=task)
    if request.POST.get("made") == "no":
        MadeCircuit.objects.filter(task=task, circuit=circuit).delete()
    else:
        MadeCircuit.objects.get_or_create(
            task=task,
            circuit=circuit,
            defaults={"made_at": timezone.now(), "made_by": signed_in(request)},
        )
    return _back(task)


@require_POST
def raise_snag_here(request: HttpRequest, pk: int) -> HttpResponse:
    task = get_task(request, pk)
    require(request.user, "snags.raise", task.job.stage)
    form = SnagForm(request.POST, request.FILES)
    if not form.is_valid():
        return _task_page(request, task, snag=form)
    raise_snag(
        task.job,
        title=form.cleaned_data["title"],
        description=form.cleaned_data["description"],
        photo=form.cleaned_data["photo"],
        task=task,
        by=signed_in(request),
        at=timezone.now(),
    )
    messages.success(request, "Snag raised.")
    return _back(task)
