"""The office's view of the work: generate, plan, assign, issue work orders, put time right."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from fitout.jobs.access import get_job
from fitout.jobs.models import Job
from fitout.kit.access import can, signed_in
from fitout.kit.audit import tracked
from fitout.kit.models import User
from fitout.kit.pages import back_to, posted, render
from fitout.kit.text import counted
from fitout.workshop.board import task_board
from fitout.workshop.booked_days import booked_days
from fitout.workshop.clock import CannotBook, put_right
from fitout.workshop.forms import IssueForm, SkillsForm, TaskForm, TimeForm
from fitout.workshop.generating import generate
from fitout.workshop.models import BookedTime, Skill, Task
from fitout.workshop.parts_due import parts_due
from fitout.workshop.planning import plan
from fitout.workshop.work_orders import CannotIssue, issue


def tasks_page(request: HttpRequest, number: int) -> HttpResponse:
    return _tasks_page(request, get_job(request, number))


def _tasks_page(request: HttpRequest, job: Job, issuing: IssueForm | None = None) -> HttpResponse:
    context = {
        "job": job,
        "board": task_board(job, today=timezone.localdate()),
        "may_plan": can(request.user, "tasks.plan", job.stage),
        "may_put_right": can(request.user, "time.put_right"),
        "work_orders": list(
            job.work_orders.select_related("technician", "document").defer("document__content")
        ),
        "days": booked_days(job),
        "open_snags": job.snags.open().count(),
        "issuing": issuing or IssueForm(job=job),
    }
    status = 422 if issuing else 200
    return render(request, "workshop/tasks.html", context, status=status)


@require_POST
def generate_tasks(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "tasks.plan")
    result = generate(job, by=signed_in(request))
    words = f"{result.added} new, {result.changed} changed, {result.removed} removed"
    if result.kept:
        words += f"; {result.kept} no longer on the build sheet kept because somebody began them"
    messages.success(request, f"Tasks: {words}.")
    return back_to(reverse("workshop:tasks", args=[number]))


@require_POST
def plan_tasks(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "tasks.plan")
    today = timezone.localdate()
    result = plan(job, by=signed_in(request), today=today, parts_due=parts_due(job, today))
    if result.ready_on:
        messages.success(
            request,
            f"{counted(result.placed, 'task')} planned; the last ends {result.ready_on:%-d %B %Y}.",
        )
    if result.without_hands:
        names = ", ".join(f"“{task}”" for task in result.without_hands[:4])
        more = len(result.without_hands) - 4
        messages.warning(
            request,
            f"Nobody has the skill for {names}{f' and {more} more' if more > 0 else ''}.",
        )
    return back_to(reverse("workshop:tasks", args=[number]))


def new_task(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "tasks.plan")
    last = job.tasks.order_by("-position").first()
    task = Task(job=job, position=last.position + 1 if last else 1)
    return _task_form(request, job, task)


def edit_task(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    job = get_job(request, number, "tasks.plan")
    return _task_form(request, job, get_object_or_404(Task, pk=pk, job=job))


def _task_form(request: HttpRequest, job: Job, task: Task) -> HttpResponse:
    form = TaskForm(posted(request), instance=task, job=job)
    if saved := form.saved_by(request.user):
        messages.success(request, f"“{saved}” kept.")
        return back_to(reverse("workshop:tasks", args=[job.number]))
    context = {"job": job, "task": task, "form": form}
    return render(request, "workshop/task_form.html", context, status=form.http_status)


@require_POST
def issue_work_order(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "tasks.plan")
    form = IssueForm(request.POST, job=job)
    if not form.is_valid():
        return _tasks_page(request, job, form)
    try:
        order = issue(
            job, form.cleaned_data["technician"], by=signed_in(request), at=timezone.now()
        )
    except CannotIssue as trouble:
        form.add_error("technician", str(trouble))
        return _tasks_page(request, job, form)
    messages.success(request, f"{order.number} issued to {order.technician}.")
    return back_to(reverse("workshop:tasks", args=[number]))


def put_time_right(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    job = get_job(request, number)
    runs = BookedTime.objects.select_related("task__job", "user")
    run = get_object_or_404(runs, pk=pk, task__job=job)
    initial = {"started_at": run.started_at, "stopped_at": run.stopped_at or timezone.now()}
    form = TimeForm(request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            put_right(
                run,
                started_at=form.cleaned_data["started_at"],
                stopped_at=form.cleaned_data["stopped_at"],
                reason=form.cleaned_data["reason"],
                by=signed_in(request),
            )
        except CannotBook as trouble:
            form.add_error("stopped_at", str(trouble))
        else:
            messages.success(request, "Time put right.")
            return back_to(reverse("workshop:tasks", args=[number]))
    status = 422 if form.is_bound else 200
    tab_path = reverse("workshop:tasks", args=[number])
    context = {"job": job, "run": run, "form": form, "tab_path": tab_path}
    return render(request, "workshop/time.html", context, status=status)


def skills(request: HttpRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(User, pk=pk)
    stored = {skill.trade_id: skill for skill in Skill.objects.filter(user=person)}
    form = SkillsForm(request.POST or None, initial={"trades": list(stored)})
    if request.method == "POST" and form.is_valid():
        wanted = {trade.pk for trade in form.cleaned_data["trades"]}
        with tracked(actor=request.user, scope="people", label=f"Trades of {person}") as change:
            for trade_id in wanted - set(stored):
                change.created(Skill.objects.create(user=person, trade_id=trade_id))
            for trade_id in set(stored) - wanted:
                change.removing(stored[trade_id])
                stored[trade_id].delete()
        messages.success(request, f"Trades of {person} kept.")
        return back_to(reverse("workshop:skills", args=[pk]))
    status = 422 if form.is_bound else 200
    return render(request, "workshop/skills.html", {"person": person, "form": form}, status=status)
