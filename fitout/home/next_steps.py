"""What comes next on each job and what holds it up: facts of many jobs in a few queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Max, Min, Q

from fitout.handover.models import TestReading
from fitout.jobs.models import Job, Stage
from fitout.kit.text import counted
from fitout.purchasing.followup import OPEN as ORDER_OPEN
from fitout.purchasing.models import PurchaseOrder
from fitout.workshop.models import OPEN_STATUSES, Snag, Task
from quotes.models import Revision, RevisionStatus


@dataclass(frozen=True)
class JobFacts:
    """Everything the board says about one job, as plain facts."""

    valid_until: date | None = None
    quote_number: str = ""
    orders_late: int = 0
    longest_late_days: int = 0
    orders: int = 0
    drafts: int = 0
    next_task: Task | None = None
    open_tasks: int = 0
    tasks: int = 0
    starts_on: date | None = None
    plan_end: date | None = None
    held: int = 0
    open_snags: int = 0
    tests_open: int = 0
    tests: int = 0


@dataclass(frozen=True)
class NextStep:
    """`level` is attention or stop when something holds the job up, else empty."""

    step: str
    level: str = ""
    verdict: str = ""
    reason: str = ""


def facts_of(jobs: Sequence[Job], today: date) -> dict[int, JobFacts]:
    """Eight queries, whatever the number of jobs."""
    found: defaultdict[int, dict[str, object]] = defaultdict(dict)
    ids = [job.pk for job in jobs]
    live = Revision.objects.filter(job__in=ids, status=RevisionStatus.ISSUED).select_related("job")
    for revision in live:
        found[revision.job_id] |= {
            "valid_until": revision.valid_until,
            "quote_number": revision.number,
        }
    _orders(ids, today, found)
    _tasks(ids, found)
    snags = Snag.objects.open().filter(job__in=ids).values_list("job").annotate(n=Count("pk"))
    for job_id, count in snags.order_by():
        found[job_id]["open_snags"] = count
    tests = (
        TestReading.objects.filter(sheet__job__in=ids)
        .values_list("sheet__job")
        .annotate(n=Count("pk"), left=Count("pk", filter=Q(outcome="open")))
    )
    for job_id, count, left in tests.order_by():
        found[job_id] |= {"tests": count, "tests_open": left}
    return {job.pk: JobFacts(**found.get(job.pk, {})) for job in jobs}  # type: ignore[arg-type]


def _orders(ids: list[int], today: date, found: defaultdict[int, dict[str, object]]) -> None:
    late = Q(status__in=ORDER_OPEN, due_on__lt=today)
    rows = (
        PurchaseOrder.objects.filter(job__in=ids)
        .values_list("job")
        .annotate(
            late=Count("pk", filter=late),
            first_due=Min("due_on", filter=late),
            sent=Count("pk", filter=Q(sequence__isnull=False)),
            drafts=Count("pk", filter=Q(status="draft")),
        )
    )
    for job_id, late_count, first_due, sent, drafts in rows.order_by():
        found[job_id] |= {
            "orders_late": late_count,
            "longest_late_days": (today - first_due).days if first_due else 0,
            "orders": sent,
            "drafts": drafts,
        }


def _tasks(ids: list[int], found: defaultdict[int, dict[str, object]]) -> None:
    counts = (
        Task.objects.standing()
        .filter(job__in=ids)
        .values_list("job")
        .annotate(
            n=Count("pk"),
            left=Count("pk", filter=Q(status__in=OPEN_STATUSES)),
            held=Count("pk", filter=Q(status="held")),
            start=Min("start_on"),
            end=Max("due_on", filter=Q(status__in=OPEN_STATUSES)),
        )
    )
    for job_id, count, left, held, start, end in counts.order_by():
        found[job_id] |= {
            "tasks": count,
            "open_tasks": left,
            "held": held,
            "starts_on": start,
            "plan_end": end,
        }
    tasks = Task.objects.open().filter(job__in=ids).select_related("assigned_to")
    for task in tasks.order_by("job", "-status", "start_on", "position"):
        first = found[task.job_id].setdefault("next_task", task)
        if task.status == "started" and getattr(first, "status", "") != "started":
            found[task.job_id]["next_task"] = task


def next_step(job: Job, facts: JobFacts, today: date) -> NextStep:
    return STEPS.get(job.stage, _nothing)(job, facts, today)


def _enquiry(job: Job, facts: JobFacts, today: date) -> NextStep:
    waiting = (today - job.stage_since).days
    if waiting > 7:
        reason = f"Enquiry since {job.stage_since:%-d %b}."
        return NextStep(
            "Finish the build sheet, issue a quote",
            "attention",
            f"{counted(waiting, 'day')} open",
            reason,
        )
    return NextStep("Finish the build sheet, issue a quote")


def _quoted(job: Job, facts: JobFacts, today: date) -> NextStep:
    if facts.valid_until is None:
        return NextStep(
            "Issue a quote", "attention", "No open quote", "The last one was answered or withdrawn."
        )
    if facts.valid_until < today:
        reason = f"{facts.quote_number} was valid until {facts.valid_until:%-d %b}."
        return NextStep("Issue a new revision", "attention", "Quote has run out", reason)
    return NextStep(
        f"Customer decides by {facts.valid_until:%-d %b}",
        "attention",
        "Waits for the customer",
        f"{facts.quote_number} is open.",
    )


def _accepted(job: Job, facts: JobFacts, today: date) -> NextStep:
    if facts.drafts or not facts.orders:
        words = (
            f"Send {counted(facts.drafts, 'purchase order')}" if facts.drafts else "Order the parts"
        )
        return _or_late(job, facts, today, words)
    return _or_late(job, facts, today, "Start the build")


def _in_build(job: Job, facts: JobFacts, today: date) -> NextStep:
    if not facts.tasks:
        return _or_late(job, facts, today, "Make tasks from the build sheet")
    if facts.next_task is None:
        return _or_late(job, facts, today, "Move to trials")
    who = f", {facts.next_task.assigned_to}" if facts.next_task.assigned_to else ""
    return _or_late(job, facts, today, f"{facts.next_task}{who}")


def _trials(job: Job, facts: JobFacts, today: date) -> NextStep:
    if not facts.tests:
        return _or_late(job, facts, today, "Make the test sheets")
    if facts.tests_open:
        return _or_late(job, facts, today, f"Enter {facts.tests_open} of {facts.tests} tests")
    if facts.open_snags:
        return _or_late(job, facts, today, f"Put {counted(facts.open_snags, 'snag')} right")
    return _or_late(job, facts, today, "Make the handover pack")


def _handed_over(job: Job, facts: JobFacts, today: date) -> NextStep:
    return NextStep("Close the job when everything is settled")


def _nothing(job: Job, facts: JobFacts, today: date) -> NextStep:
    return NextStep("Nothing more to do")


def late_days(job: Job, facts: JobFacts, today: date) -> int:
    """How far the plan, or today, runs past the promised date."""
    if job.promised_for is None:
        return 0
    end = max(facts.plan_end or today, today)
    return max(0, (end - job.promised_for).days)


def _or_late(job: Job, facts: JobFacts, today: date, step: str) -> NextStep:
    days = late_days(job, facts, today)
    reasons = _reasons(facts)
    if days:
        return NextStep(step, "stop", f"Late by {counted(days, 'day')}", " ".join(reasons))
    if reasons:
        return NextStep(step, "attention", "On time so far", " ".join(reasons))
    return NextStep(step)


def _reasons(facts: JobFacts) -> list[str]:
    reasons = []
    if facts.orders_late:
        orders, days = counted(facts.orders_late, "order"), counted(facts.longest_late_days, "day")
        reasons.append(f"{orders} late, the longest by {days}.")
    if facts.held:
        reasons.append(f"{counted(facts.held, 'task')} held up.")
    if facts.open_snags:
        reasons.append(f"{counted(facts.open_snags, 'snag')} open.")
    return reasons


STEPS = {
    Stage.ENQUIRY.value: _enquiry,
    Stage.QUOTED.value: _quoted,
    Stage.ACCEPTED.value: _accepted,
    Stage.IN_BUILD.value: _in_build,
    Stage.TRIALS.value: _trials,
    Stage.HANDED_OVER.value: _handed_over,
}
