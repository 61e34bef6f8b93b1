"""A job: one vessel's fit-out for one customer."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models, transaction
from django.utils import timezone

from fitout.jobs import guards
from fitout.jobs.models.customers import Customer
from fitout.jobs.models.hull import Vessel
from fitout.kit import audit
from fitout.kit.models import Versioned
from fitout.kit.numbering import format_number, next_number


class Stage(models.TextChoices):
    ENQUIRY = "enquiry", "Enquiry"
    QUOTED = "quoted", "Quoted"
    ACCEPTED = "accepted", "Accepted"
    IN_BUILD = "in_build", "In build"
    TRIALS = "trials", "Trials"
    HANDED_OVER = "handed_over", "Handed over"
    CLOSED = "closed", "Closed"
    LOST = "lost", "Lost"


MOVES: dict[str, tuple[str, ...]] = {
    Stage.ENQUIRY: (Stage.QUOTED, Stage.LOST),
    Stage.QUOTED: (Stage.ENQUIRY, Stage.ACCEPTED, Stage.LOST),
    Stage.ACCEPTED: (Stage.IN_BUILD, Stage.LOST),
    Stage.IN_BUILD: (Stage.TRIALS,),
    Stage.TRIALS: (Stage.IN_BUILD, Stage.HANDED_OVER),
    Stage.HANDED_OVER: (Stage.CLOSED,),
    Stage.CLOSED: (),
    Stage.LOST: (Stage.ENQUIRY,),
}

# Stages in which the workshop works on a job, and so technicians see it.
WORKSHOP_STAGES = (Stage.ACCEPTED, Stage.IN_BUILD, Stage.TRIALS, Stage.HANDED_OVER)

# Stages in which the build sheet and the hull plan may still change.
OPEN_STAGES = (Stage.ENQUIRY, Stage.QUOTED, Stage.ACCEPTED, Stage.IN_BUILD, Stage.TRIALS)


class StageRefused(Exception):
    """The job may not move there; the message says why."""


class RuleSetChoice(models.TextChoices):
    ISO = "iso", "ISO (mm²)"
    US = "us", "US (AWG)"


class JobQuerySet(models.QuerySet["Job"]):
    def visible_to(self, user: Any) -> JobQuerySet:
        """Owner and estimator see every job; a technician those in the workshop's hands."""
        if user.sees_money:
            return self
        return self.filter(stage__in=WORKSHOP_STAGES)

    def for_title(self) -> JobQuerySet:
        """Everything the head of a job page shows, in one query."""
        return self.select_related("vessel", "customer", "lead")

    def for_list(self) -> JobQuerySet:
        return self.for_title().order_by("-number")


class Job(Versioned):
    number = models.PositiveIntegerField(unique=True)
    vessel = models.ForeignKey(Vessel, on_delete=models.PROTECT, related_name="jobs")
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="jobs")
    stage = models.CharField(max_length=12, choices=Stage.choices, default=Stage.ENQUIRY)
    stage_since = models.DateField()
    title = models.CharField(max_length=120, default="Fit-out")
    rule_set = models.CharField(
        max_length=4, choices=RuleSetChoice.choices, default=RuleSetChoice.ISO
    )
    currency = models.CharField(max_length=3, default="EUR")
    lead = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="led_jobs",
        verbose_name="lead technician",
    )
    opened_on = models.DateField()
    asked_for = models.DateField("date asked for", null=True, blank=True)
    promised_for = models.DateField("promised date", null=True, blank=True)
    autonomy_asked_days = models.DecimalField(
        "days of autonomy asked for",
        max_digits=4,
        decimal_places=1,
        default=Decimal("2.0"),
        validators=[MinValueValidator(Decimal("0.1")), MaxValueValidator(Decimal("60"))],
    )
    notes = models.TextField(blank=True, max_length=4000)

    objects = JobQuerySet.as_manager()

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(stage__in=Stage.values), name="job_stage_is_known"
            )
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.vessel}"

    @property
    def code(self) -> str:
        return format_number("job", self.number)

    @property
    def scope(self) -> str:
        """The key under which the audit trail and documents of this job are filed."""
        return f"job:{self.number}"

    @property
    def next_stages(self) -> list[Stage]:
        return [Stage(stage) for stage in MOVES[self.stage]]

    @classmethod
    def open(
        cls, *, vessel: Vessel, customer: Customer, by: Any, today: date, **fields: Any
    ) -> Job:
        """A new enquiry, with the next number."""
        with transaction.atomic():
            job = cls(
                number=next_number("job"),
                vessel=vessel,
                customer=customer,
                stage=Stage.ENQUIRY,
                stage_since=today,
                opened_on=today,
                changed_by=by,
                **fields,
            )
            job.full_clean()
            job.save()
            _tell(by, job, f"{job.code} opened", action="open")
        return job

    def move_to(self, stage: str, *, by: Any, now: datetime) -> None:
        """Enter a stage, if the table of moves and every guard allow it."""
        wanted = Stage(stage)
        if wanted not in MOVES[self.stage]:
            raise StageRefused(self._refusal(wanted))
        reasons = guards.reasons_against(self, wanted)
        if reasons:
            raise StageRefused(" ".join(reasons))
        before = self.stage
        with transaction.atomic():
            self.stage = wanted
            self.stage_since = timezone.localdate(now)
            self.save_if_version(self.version, by=by)
            _tell(by, self, f"{self.code} moved to {wanted.label}", action="stage", before=before)

    def _refusal(self, wanted: Stage) -> str:
        ways = " or ".join(stage.label for stage in self.next_stages) or "nowhere"
        return (
            f"Stage: from {Stage(self.stage).label} a job moves to {ways}, not to {wanted.label}."
        )


def _tell(by: Any, job: Job, label: str, *, action: str, before: str = "") -> None:
    """An entry that cannot be undone: numbers stay given, and stages move by their table."""
    audit.record(
        by,
        action,
        job,
        scope=job.scope,
        label=label,
        before={"stage": before} if before else None,
        after={"stage": str(job.stage)},
    )
