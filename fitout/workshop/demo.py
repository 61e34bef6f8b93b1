"""Demo: work done, parts picked and fitted, a snag with a photo."""

from __future__ import annotations

import io
from collections.abc import Iterator
from datetime import datetime, timedelta
from decimal import Decimal

from django.db.models import Max

from catalogue.models import Trade
from fitout.jobs.models import Job
from fitout.kit.models import User, Workshop
from fitout.purchasing.followup import progress_of
from fitout.purchasing.models import MovementKind
from fitout.purchasing.moving import move
from fitout.workshop.calendar import working_hours
from fitout.workshop.clock import finish, start, stop
from fitout.workshop.models import BookedTime, MadeCircuit, Skill, Task
from fitout.workshop.snags import close, raise_snag
from fitout.workshop.task_facts import TaskFacts, facts_of_tasks, pick_for

#: Trades of each technician, by sign-in name.
TRADES = {
    "ines": ("electrical", "electronics", "test"),
    "bram": ("mechanical", "plumbing", "joinery"),
    "suri": ("upholstery", "covering", "graphics", "joinery", "electrical"),
}
PACE = (Decimal("0.92"), Decimal("1.05"), Decimal("1.18"), Decimal("0.98"))


def give_trades() -> None:
    """Every trade gets somebody; those not named go to the first technician."""
    people = {user.username: user for user in User.objects.technicians()}
    named = {code for codes in TRADES.values() for code in codes}
    for trade in Trade.objects.all():
        names = [name for name, codes in TRADES.items() if trade.code in codes]
        if trade.code not in named:
            names = ["bram"]
        for name in names:
            if name in people:
                Skill.objects.get_or_create(user=people[name], trade=trade)


def do_tasks(job: Job, *, share: Decimal, at: datetime, now: datetime) -> None:
    """Do the first `share` of the tasks, each person one after the other; the lead's next one is
    left running."""
    tasks = list(
        job.tasks.select_related("zone", "assigned_to", "job").prefetch_related("lines", "circuits")
    )
    count = int(len(tasks) * share)
    latest = last_working_moment(now)
    for number, facts in enumerate(facts_of_tasks(job, tasks[:count])):
        _do(facts, at, PACE[number % len(PACE)], latest=latest)
    if count < len(tasks) and count:
        left = tasks[count:]
        led = [task for task in left if task.assigned_to_id == job.lead_id]
        _begin((led or left)[0], latest - timedelta(hours=1))


def _do(facts: TaskFacts, at: datetime, pace: Decimal, *, latest: datetime) -> None:
    """Book the task's hours as the days of the workshop allow, tick everything, finish."""
    task = facts.task
    who = task.assigned_to or task.job.lead or User.objects.technicians()[0]
    moment = min(free_from(who, at), latest)
    for begun, ended in shifts(moment, task.planned_h * pace, latest):
        start(task, by=who, at=begun)
        stop(task, by=who, at=ended)
        moment = ended
    _tick(facts, who, moment)
    finish(task, by=who, at=moment)


def shifts(at: datetime, hours: Decimal, latest: datetime) -> Iterator[tuple[datetime, datetime]]:
    """`hours` from `at` on, in runs within the hours of working days; none goes past `latest`."""
    left = timedelta(hours=float(hours))
    for opens, closes in hours_of_work(at):
        if left <= timedelta(0) or opens >= latest:
            return
        begun = max(at, opens)
        ended = min(begun + left, closes, latest)
        if ended > begun:
            yield begun, ended
            left -= ended - begun


def hours_of_work(since: datetime) -> Iterator[tuple[datetime, datetime]]:
    return working_hours(since, Workshop.current().country)


def last_working_moment(now: datetime) -> datetime:
    """`now` in working hours; else when the workshop last closed."""
    last = now
    for opens, closes in hours_of_work(now - timedelta(days=14)):
        if opens >= now:
            break
        last = min(closes, now)
    return last


def free_from(who: User, at: datetime) -> datetime:
    """Nobody works on two things at once, so not before their last clock stopped."""
    last = BookedTime.objects.filter(user=who).aggregate(last=Max("stopped_at"))["last"]
    return at if last is None else max(at, last)


def _begin(task: Task, at: datetime) -> None:
    who = task.assigned_to or User.objects.technicians()[0]
    start(task, by=who, at=free_from(who, at))


def _tick(facts: TaskFacts, who: User, at: datetime) -> None:
    """Pick and fit what is here for the task, and tick its circuits."""
    task = facts.task
    for pick in facts.picks:
        progress = progress_of(task.job, pick.part)
        quantity = min(pick.quantity, progress.to_pick)
        if quantity > 0:
            pick_for(task, pick.part, quantity, by=who, at=at)
            move(task.job, pick.part, MovementKind.FITTED, quantity, by=who, at=at)
    for wire in facts.circuits:
        MadeCircuit.objects.get_or_create(
            task=task, circuit=wire.row.circuit, defaults={"made_at": at, "made_by": who}
        )


def raise_demo_snag(job: Job, title: str, *, by: User, at: datetime) -> None:
    """One snag put right, one open with a photo."""
    zones = list(job.vessel.zones.all())
    first = raise_snag(
        job,
        title="Label missing at one end of a cable",
        description="",
        zone=zones[0],
        by=by,
        at=at,
    )
    close(first, status="put_right", note="Label fitted.", by=by, at=at + timedelta(hours=2))
    raise_snag(
        job,
        title=title,
        description="Seen while fitting; needs a decision before the next step.",
        zone=zones[-1],
        photo=drawn_photo(title),
        by=by,
        at=at + timedelta(hours=1),
    )


def drawn_photo(words: str) -> bytes:
    """A drawn picture that stands for a photo; nobody's real work is shown."""
    from PIL import Image, ImageDraw

    picture = Image.new("RGB", (960, 720), "#c5d8db")
    draw = ImageDraw.Draw(picture)
    draw.rectangle((90, 120, 870, 600), outline="#13212b", width=6, fill="#f2ede0")
    draw.line((90, 360, 870, 360), fill="#13212b", width=3)
    draw.ellipse((410, 290, 550, 430), outline="#94187a", width=10)
    draw.text((110, 620), words, fill="#13212b", font_size=28)
    buffer = io.BytesIO()
    picture.save(buffer, "JPEG", quality=85)
    return buffer.getvalue()
