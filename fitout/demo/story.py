"""What happened to each demo job, told through the functions that people's forms call too.

Every step is given its own day, so that the trail, the orders and the booked time read as a
workshop's would. Each step finds out by itself whether it was done; loading again adds nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal

from django.utils import timezone

from electrical import demo as wiring
from electrical import joint_choices
from electrical.models import JointChoice
from electrical.wiring.wire_up import wire_up
from fitout.demo.people import People
from fitout.handover.demo import enter_tests, hand_over
from fitout.jobs.models import Job, Stage
from fitout.purchasing.demo import order_everything, receive_everything
from fitout.workshop.demo import do_tasks, raise_demo_snag
from fitout.workshop.generating import generate as generate_tasks
from fitout.workshop.parts_due import parts_due
from fitout.workshop.planning import plan
from fitout.workshop.work_orders import CannotIssue
from fitout.workshop.work_orders import issue as issue_work_order
from quotes.acceptance import accept
from quotes.issuing import issue as issue_quote
from quotes.models import Revision, RevisionStatus


@dataclass(frozen=True)
class Told:
    """One job's story: days ago for each step; None leaves the step out."""

    vessel: str
    quoted: int
    accepted: int | None = None
    options: bool = True
    ordered: int | None = None
    orders_left: int = 0
    received: int | None = None
    receipts_left: int = 0
    build: int | None = None
    tasks_done: Decimal = Decimal(0)
    snag: str = ""
    trials: int | None = None
    tests_done: Decimal = Decimal(0)
    handed_over: int | None = None
    compared: int | None = None


STORIES = (
    Told(
        "Saffron",
        quoted=176,
        accepted=160,
        ordered=158,
        received=130,
        build=75,
        tasks_done=Decimal(1),
        snag="Seat base rubs on the locker lid",
        trials=4,
        tests_done=Decimal("0.4"),
        compared=160,
    ),
    Told("Hedgerow", quoted=40, accepted=21, ordered=2, orders_left=3, compared=21),
    Told(
        "Dulse",
        quoted=120,
        accepted=108,
        ordered=106,
        received=80,
        build=70,
        tasks_done=Decimal(1),
        trials=10,
        tests_done=Decimal(1),
        handed_over=2,
    ),
    Told("Carrageen", quoted=3, options=False),
    # Last, so that the clock its lead left running is not stopped by work on another job.
    Told(
        "Terrapin",
        quoted=131,
        accepted=112,
        ordered=40,
        received=28,
        receipts_left=2,
        build=26,
        tasks_done=Decimal("0.35"),
        snag="Cable transit in the bulkhead is 4 mm too small",
    ),
)


def tell(people: People, today: date, say: Callable[[str], None]) -> None:
    for story in STORIES:
        job = Job.objects.select_related("vessel").get(vessel__name=story.vessel)
        Telling(job, story, people, today).tell()
        say(f"{job.code} {story.vessel}: {Job.objects.get(pk=job.pk).get_stage_display().lower()}")


@dataclass
class Telling:
    job: Job
    story: Told
    people: People
    today: date

    def tell(self) -> None:
        self._wire()
        self._quote()
        if self.story.accepted is not None:
            self._accept(self.story.accepted)
        if self.story.ordered is not None:
            self._order(self.story.ordered)
        if self.story.build is not None:
            self._build(self.story.build)
        if self.story.trials is not None:
            self._try(self.story.trials)
        if self.story.handed_over is not None:
            self._hand_over(self.story.handed_over)
        if self.story.compared is not None:
            self._compare(self.story.compared)

    def _fresh(self) -> Job:
        self.job = Job.objects.select_related("vessel", "customer", "lead").get(pk=self.job.pk)
        return self.job

    def at(self, days_ago: int, hour: int = 9) -> datetime:
        return morning(self.today - timedelta(days=days_ago), hour)

    def day(self, days_ago: int) -> date:
        return self.today - timedelta(days=days_ago)

    def _wire(self) -> None:
        wiring.load(self._fresh(), self.people.estimator)

    def _quote(self) -> None:
        job, ago = self._fresh(), self.story.quoted
        if not job.quote_revisions.exists():
            issue_quote(job, by=self.people.estimator, at=self.at(ago), today=self.day(ago))

    def _accept(self, ago: int) -> None:
        job = self._fresh()
        revision = Revision.objects.filter(job=job, status=RevisionStatus.ISSUED).first()
        if job.stage != Stage.QUOTED or revision is None:
            return
        options = revision.lines.filter(is_option=True).values_list("pk", flat=True)
        accept(
            revision,
            name=job.customer.contact or job.customer.name,
            option_ids=list(options[:1]) if self.story.options else [],
            at=self.at(ago, 16),
            today=self.day(ago),
            by=None,
        )
        wire_up(self._fresh(), self.people.estimator)

    def _order(self, ago: int) -> None:
        job, owner = self._fresh(), self.people.owner
        if job.purchase_orders.exists():
            return
        order_everything(
            job, by=owner, at=self.at(ago, 11), today=self.day(ago), left=self.story.orders_left
        )
        if self.story.received is not None:
            receive_everything(
                job,
                by=self.people.technicians[0],
                at=self.at(self.story.received, 10),
                left=self.story.receipts_left,
            )

    def _build(self, ago: int) -> None:
        job, owner = self._fresh(), self.people.owner
        if job.stage != Stage.ACCEPTED:
            return
        job.move_to(Stage.IN_BUILD, by=owner, now=self.at(ago, 8))
        generate_tasks(self._fresh(), by=owner)
        start = self.day(ago)
        plan(self._fresh(), by=owner, today=start, parts_due=parts_due(job, start))
        self._give_work_orders(ago)
        do_tasks(
            self._fresh(),
            share=self.story.tasks_done,
            at=self.at(ago, 8),
            now=min(self.at(0, 12), timezone.now()),
        )
        if self.story.tasks_done < 1:  # what is left is planned anew, from today
            plan(
                self._fresh(),
                by=owner,
                today=self.today,
                parts_due=parts_due(self.job, self.today),
            )
        if self.story.snag:
            raise_demo_snag(
                self._fresh(), self.story.snag, by=self.people.technicians[1], at=self.at(1, 15)
            )

    def _give_work_orders(self, ago: int) -> None:
        for technician in self.people.technicians:
            try:
                issue_work_order(
                    self._fresh(), technician, by=self.people.owner, at=self.at(ago, 9)
                )
            except CannotIssue:
                continue  # no task fell to this person

    def _try(self, ago: int) -> None:
        job, owner = self._fresh(), self.people.owner
        if job.stage != Stage.IN_BUILD:
            return
        job.move_to(Stage.TRIALS, by=owner, now=self.at(ago, 8))
        enter_tests(
            self._fresh(),
            share=self.story.tests_done,
            testers=self.people.technicians,
            by=owner,
            at=self.at(ago, 14),
        )

    def _hand_over(self, ago: int) -> None:
        job = self._fresh()
        if job.stage != Stage.TRIALS:
            return
        hand_over(job, by=self.people.owner, at=self.at(ago, 10))
        self._fresh().move_to(Stage.HANDED_OVER, by=self.people.owner, now=self.at(ago, 15))

    def _compare(self, ago: int) -> None:
        """What choosing every cable and fuse together would save, for its page to show."""
        job = self._fresh()
        if not JointChoice.objects.filter(job=job).exists():
            asked = joint_choices.ask_for(job, by=self.people.estimator, at=self.at(ago, 17))
            joint_choices.make(asked, now=self.at(ago, 17))


def morning(day: date, hour: int = 9) -> datetime:
    return timezone.make_aware(datetime.combine(day, time(hour, 0)))
