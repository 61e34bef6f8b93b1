"""Where a part is after it came: received, picked, fitted, left over; and serial numbers."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from catalogue.models import Part
from fitout.jobs.models import Job, Line
from fitout.purchasing.models.orders import ReceiptLine


class MovementKind(models.TextChoices):
    RECEIVED = "received", "Received"
    FROM_STOCK = "from_stock", "Taken from workshop stock"
    PICKED = "picked", "Picked"
    FITTED = "fitted", "Fitted"
    LEFT_OVER = "left_over", "Left over"
    RETURNED = "returned", "Returned to supplier"


class MovementQuerySet(models.QuerySet["Movement"]):
    def standing(self) -> "MovementQuerySet":
        """Without slips that were put right and without what put them right."""
        return self.filter(reverses=None, reversed_by=None)


class Movement(models.Model):
    """Append-only. Quantities are positive; the kind says which way. A slip is put right by `reverses`."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="movements")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="movements")
    kind = models.CharField(max_length=12, choices=MovementKind.choices)
    quantity = models.DecimalField(max_digits=9, decimal_places=2)
    receipt_line = models.ForeignKey(
        ReceiptLine, null=True, blank=True, on_delete=models.PROTECT, related_name="movements"
    )
    reverses = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="reversed_by"
    )
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=200, blank=True)

    objects = MovementQuerySet.as_manager()

    class Meta:
        ordering = ["-at", "-id"]
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gt=0), name="movement_quantity_positive")
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}: {self.quantity} × {self.part.code}"


class SerialNumber(models.Model):
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="serials")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="serials")
    line = models.ForeignKey(
        Line, null=True, blank=True, on_delete=models.SET_NULL, related_name="serials"
    )
    serial = models.CharField(max_length=80)
    receipt_line = models.ForeignKey(
        ReceiptLine, null=True, blank=True, on_delete=models.PROTECT, related_name="serials"
    )
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["part__code", "serial"]
        constraints = [
            models.UniqueConstraint(fields=["part", "serial"], name="serial_once_per_part")
        ]

    def __str__(self) -> str:
        return self.serial
