"""A quote's revisions: frozen when issued, superseded and never edited."""

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import Q

from fitout.jobs.models import Job
from fitout.kit.models import Document
from fitout.kit.money import NARROW, quantity_text
from fitout.kit.numbering import format_number, revision_letter
from quotes.pricing import share_pct

HALF_A_CENT = Decimal("0.005")


class RevisionStatus(models.TextChoices):
    ISSUED = "issued", "Issued"
    SUPERSEDED = "superseded", "Superseded"
    ACCEPTED = "accepted", "Accepted"
    DECLINED = "declined", "Declined"
    WITHDRAWN = "withdrawn", "Withdrawn"


STATUS_MOVES: dict[str, tuple[str, ...]] = {
    RevisionStatus.ISSUED: (
        RevisionStatus.SUPERSEDED,
        RevisionStatus.ACCEPTED,
        RevisionStatus.DECLINED,
        RevisionStatus.WITHDRAWN,
    ),
    RevisionStatus.SUPERSEDED: (),
    RevisionStatus.ACCEPTED: (),
    RevisionStatus.DECLINED: (),
    RevisionStatus.WITHDRAWN: (),
}


class Revision(models.Model):
    """Everything but `status` and `token` is frozen by the database once the row exists.

    `cost` and `margin` never leave the office.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="quote_revisions")
    sequence = models.PositiveSmallIntegerField()
    status = models.CharField(
        max_length=12, choices=RevisionStatus.choices, default=RevisionStatus.ISSUED
    )
    issued_on = models.DateField()
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    valid_until = models.DateField()
    currency = models.CharField(max_length=3)
    customer_name = models.CharField(max_length=120)
    customer_address = models.TextField(blank=True)
    vessel_name = models.CharField(max_length=80)
    vessel_description = models.CharField(max_length=200, blank=True)
    inclusions = models.TextField(blank=True)
    exclusions = models.TextField(blank=True)
    terms = models.TextField(blank=True)
    discount_pct = models.DecimalField(max_digits=4, decimal_places=2)
    lines_total = models.DecimalField(max_digits=12, decimal_places=2)
    discount_total = models.DecimalField(max_digits=12, decimal_places=2)
    net_total = models.DecimalField(max_digits=12, decimal_places=2)
    tax_total = models.DecimalField(max_digits=12, decimal_places=2)
    gross_total = models.DecimalField(max_digits=12, decimal_places=2)
    tax_rows = models.JSONField(default=list)
    cost_total = models.DecimalField(max_digits=12, decimal_places=2)
    hours_total = models.DecimalField(max_digits=9, decimal_places=2)
    document = models.ForeignKey(Document, null=True, on_delete=models.PROTECT, related_name="+")
    token = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["-sequence"]
        constraints = [
            models.UniqueConstraint(fields=["job", "sequence"], name="revision_once_per_job"),
            models.UniqueConstraint(
                fields=["job"],
                condition=Q(status__in=["issued", "accepted"]),
                name="one_live_revision_per_job",
            ),
            # Within half a cent: SQLite keeps decimals as binary fractions.
            models.CheckConstraint(
                condition=Q(
                    gross_total__gt=models.F("net_total") + models.F("tax_total") - HALF_A_CENT,
                    gross_total__lt=models.F("net_total") + models.F("tax_total") + HALF_A_CENT,
                ),
                name="revision_gross_is_net_plus_tax",
            ),
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def letter(self) -> str:
        return revision_letter(self.sequence)

    @property
    def number(self) -> str:
        return format_number("quote", self.job.number, self.letter)

    @property
    def margin_total(self) -> Decimal:
        return self.net_total - self.cost_total

    @property
    def margin_pct(self) -> Decimal | None:
        return share_pct(self.margin_total, self.net_total)


WHOLE = frozenset({"job", "sum"})


class QuoteLine(models.Model):
    """What the customer reads: one row per top line of the build sheet. Append-only."""

    revision = models.ForeignKey(Revision, on_delete=models.PROTECT, related_name="lines")
    line_id = models.BigIntegerField()
    position = models.PositiveIntegerField()
    zone_code = models.CharField(max_length=3)
    zone_name = models.CharField(max_length=60)
    code = models.CharField(max_length=20)
    kind = models.CharField(max_length=12)
    description = models.CharField(max_length=200)
    quantity = models.DecimalField(max_digits=9, decimal_places=2)
    unit = models.CharField(max_length=6)
    is_option = models.BooleanField(default=False)
    is_taken = models.BooleanField(default=True)
    net = models.DecimalField(max_digits=12, decimal_places=2)
    shares = models.JSONField(default=list)

    class Meta:
        ordering = ["position"]

    def __str__(self) -> str:
        return f"{self.code} {self.description}"

    @property
    def is_one_item(self) -> bool:
        """Work and sums are bought whole; a share of a standard time says nothing to a customer."""
        return self.unit in WHOLE and (self.quantity <= 1 or self.quantity % 1 != 0)

    @property
    def quantity_words(self) -> str:
        if self.is_one_item:
            return "item"
        count = quantity_text(self.quantity, 2)
        return f"{count}{NARROW}times" if self.unit in WHOLE else f"{count}{NARROW}{self.unit}"


class PaymentStage(models.Model):
    revision = models.ForeignKey(Revision, on_delete=models.PROTECT, related_name="stages")
    position = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=80)
    share_pct = models.DecimalField(max_digits=5, decimal_places=2)
    amount = models.DecimalField(max_digits=12, decimal_places=2)

    class Meta:
        ordering = ["position"]

    def __str__(self) -> str:
        return f"{self.share_pct} % {self.name}"


class Acceptance(models.Model):
    """The customer's signed yes: who, when, which options. Append-only."""

    revision = models.OneToOneField(Revision, on_delete=models.PROTECT, related_name="acceptance")
    name = models.CharField(max_length=120)
    accepted_at = models.DateTimeField()
    through_link = models.BooleanField()
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    option_line_ids = models.JSONField(default=list)
    net_total = models.DecimalField(max_digits=12, decimal_places=2)
    tax_total = models.DecimalField(max_digits=12, decimal_places=2)
    gross_total = models.DecimalField(max_digits=12, decimal_places=2)
    remark = models.TextField(blank=True, max_length=1000)

    def __str__(self) -> str:
        return f"{self.revision} accepted by {self.name}"
