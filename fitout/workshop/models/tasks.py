"""Tasks for technicians, generated from labour; booked time; work orders."""

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from catalogue.models import Supplier, Trade
from catalogue.models.labour import Phase
from electrical.models import Circuit
from fitout.jobs.models import Job, Line, Zone
from fitout.kit.models import Document, Versioned
from fitout.kit.numbering import format_number


class Skill(models.Model):
    """A trade a technician may be given work in."""

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="skills"
    )
    trade = models.ForeignKey(Trade, on_delete=models.CASCADE, related_name="skilled")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["user", "trade"], name="skill_once")]

    def __str__(self) -> str:
        return f"{self.user}: {self.trade}"


class TaskStatus(models.TextChoices):
    TO_DO = "to_do", "To do"
    STARTED = "started", "Started"
    HELD = "held", "Held up"
    DONE = "done", "Done"
    DROPPED = "dropped", "Dropped"


TASK_MOVES: dict[str, tuple[str, ...]] = {
    TaskStatus.TO_DO: (TaskStatus.STARTED, TaskStatus.HELD, TaskStatus.DROPPED),
    TaskStatus.STARTED: (TaskStatus.DONE, TaskStatus.HELD, TaskStatus.TO_DO),
    TaskStatus.HELD: (TaskStatus.STARTED, TaskStatus.TO_DO, TaskStatus.DROPPED),
    TaskStatus.DONE: (TaskStatus.STARTED,),
    TaskStatus.DROPPED: (TaskStatus.TO_DO,),
}


OPEN_STATUSES = (TaskStatus.TO_DO, TaskStatus.STARTED, TaskStatus.HELD)


class TaskQuerySet(models.QuerySet["Task"]):
    def open(self) -> "TaskQuerySet":
        return self.filter(status__in=OPEN_STATUSES)

    def standing(self) -> "TaskQuerySet":
        """All but those that were dropped."""
        return self.exclude(status=TaskStatus.DROPPED)


class Task(Versioned):
    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="tasks")
    zone = models.ForeignKey(
        Zone, null=True, blank=True, on_delete=models.PROTECT, related_name="tasks"
    )
    trade = models.ForeignKey(
        Trade, null=True, blank=True, on_delete=models.PROTECT, related_name="tasks"
    )
    phase = models.CharField(max_length=20, choices=Phase.choices)
    title = models.CharField(max_length=200)
    source_key = models.CharField(max_length=80, blank=True, editable=False)
    position = models.PositiveIntegerField(default=0)
    planned_h = models.DecimalField(max_digits=7, decimal_places=2)
    status = models.CharField(max_length=10, choices=TaskStatus.choices, default=TaskStatus.TO_DO)
    held_reason = models.CharField(max_length=200, blank=True)
    assigned_to = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="tasks",
    )
    subcontractor = models.ForeignKey(
        Supplier, null=True, blank=True, on_delete=models.PROTECT, related_name="tasks"
    )
    start_on = models.DateField(null=True, blank=True)
    due_on = models.DateField(null=True, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)
    lines = models.ManyToManyField(Line, blank=True, related_name="tasks")
    circuits = models.ManyToManyField(Circuit, blank=True, related_name="tasks")
    after = models.ManyToManyField("self", symmetrical=False, blank=True, related_name="before")
    instructions = models.TextField(blank=True, max_length=2000)

    objects = TaskQuerySet.as_manager()

    class Meta:
        ordering = ["position", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(planned_h__gte=0), name="task_hours_not_negative"),
            models.UniqueConstraint(
                fields=["job", "source_key"],
                condition=~Q(source_key=""),
                name="task_once_per_source",
            ),
            models.CheckConstraint(
                condition=Q(trade__isnull=False) | Q(subcontractor__isnull=False),
                name="task_has_trade_or_subcontractor",
            ),
            models.CheckConstraint(
                condition=Q(assigned_to__isnull=True) | Q(subcontractor__isnull=True),
                name="task_one_doer",
            ),
            models.CheckConstraint(
                condition=Q(start_on__isnull=True)
                | Q(due_on__isnull=True)
                | Q(due_on__gte=F("start_on")),
                name="task_due_after_start",
            ),
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def is_open(self) -> bool:
        return self.status in OPEN_STATUSES

    @property
    def waits_for(self) -> list["Task"]:
        """Tasks before it that are not done; no query where `after` is prefetched."""
        return [earlier for earlier in self.after.all() if earlier.is_open]


class MadeCircuit(models.Model):
    """A circuit ticked off in a task: run at first fix, connected at second fix."""

    task = models.ForeignKey(Task, on_delete=models.CASCADE, related_name="made_circuits")
    circuit = models.ForeignKey(Circuit, on_delete=models.CASCADE, related_name="made_in")
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["task", "circuit"], name="circuit_made_once_per_task")
        ]

    def __str__(self) -> str:
        return f"{self.circuit} in {self.task}"


class BookedTime(models.Model):
    """One run of the clock. Open while `stopped_at` is empty; one open run per person."""

    task = models.ForeignKey(Task, on_delete=models.PROTECT, related_name="booked")
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="booked"
    )
    started_at = models.DateTimeField()
    stopped_at = models.DateTimeField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-started_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["user"], condition=Q(stopped_at__isnull=True), name="one_clock_per_person"
            ),
            models.CheckConstraint(
                condition=Q(stopped_at__isnull=True) | Q(stopped_at__gte=F("started_at")),
                name="clock_stops_after_start",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.user} on {self.task}"

    @property
    def hours(self) -> Decimal | None:
        if self.stopped_at is None:
            return None
        seconds = Decimal(int((self.stopped_at - self.started_at).total_seconds()))
        return (seconds / 3600).quantize(Decimal("0.01"))


class WorkOrder(models.Model):
    """Tasks given to one technician on paper: an issued document. Append-only."""

    sequence = models.PositiveIntegerField(unique=True)
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="work_orders")
    technician = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="work_orders"
    )
    tasks = models.ManyToManyField(Task, related_name="work_orders")
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    document = models.ForeignKey(Document, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-sequence"]

    def __str__(self) -> str:
        return self.number

    @property
    def number(self) -> str:
        return format_number("work_order", self.sequence)
