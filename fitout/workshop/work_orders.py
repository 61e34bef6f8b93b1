"""Work orders: tasks given to one technician, on paper, numbered and stored."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import transaction

from fitout.jobs.hullplan.drawing import deck_plan
from fitout.jobs.hullplan.plan import read_plan
from fitout.jobs.models import Job
from fitout.kit import documents
from fitout.kit.audit import record
from fitout.kit.models import Audience, User
from fitout.kit.numbering import next_number
from fitout.kit.pdf import render_pdf
from fitout.kit.text import counted
from fitout.workshop.models import Task, WorkOrder
from fitout.workshop.task_facts import facts_of_tasks


class CannotIssue(Exception):
    """The reason, as a sentence."""


def tasks_for(job: Job, technician: User) -> list[Task]:
    """The technician's open tasks on the job, in working order."""
    tasks = job.tasks.open().filter(assigned_to=technician)
    return list(tasks.select_related("zone", "trade").prefetch_related("lines", "circuits"))


@transaction.atomic
def issue(job: Job, technician: User, *, by: User, at: datetime) -> WorkOrder:
    job = Job.objects.select_for_update().get(pk=job.pk)
    tasks = tasks_for(job, technician)
    if not tasks:
        raise CannotIssue(f"{technician} has no open task on {job.code}.")
    order = WorkOrder.objects.create(
        sequence=next_number("work_order"),
        job=job,
        technician=technician,
        issued_at=at,
        issued_by=by,
    )
    order.tasks.set(tasks)
    order.document = documents.store(
        kind="work_order",
        number=order.number,
        title=f"Work order {order.number} for {technician}, {job.code}",
        scope=job.scope,
        filename=f"{order.number}.pdf",
        content=work_order_pdf(order, tasks),
        at=at,
        by=by,
        audience=Audience.STAFF,
    )
    order.save(update_fields=["document"])
    label = f"{order.number} issued to {technician}, {counted(len(tasks), 'task')}"
    record(by, "issue", order, scope=job.scope, label=label)
    return order


def work_order_context(order: WorkOrder, tasks: Sequence[Task]) -> dict[str, Any]:
    plan = read_plan(order.job.vessel)
    facts = facts_of_tasks(order.job, tasks)
    drawings = {
        zone.code: deck_plan(
            plan, for_print=True, small=True, chosen=zone.code, name=f"z{zone.code}"
        )
        for zone in {task.zone for task in tasks if task.zone is not None}
    }
    return {
        "order": order,
        "job": order.job,
        "facts": [
            {"facts": item, "drawing": drawings.get(item.task.zone.code) if item.task.zone else ""}
            for item in facts
        ],
        "hours": sum(task.planned_h for task in tasks),
    }


def work_order_pdf(order: WorkOrder, tasks: Sequence[Task]) -> bytes:
    return render_pdf("workshop/print/work_order.html", work_order_context(order, tasks))
