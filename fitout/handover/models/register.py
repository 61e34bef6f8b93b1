"""The register: equipment with serial numbers and warranty dates."""

import calendar
from datetime import date

from django.db import models

from fitout.jobs.models import Job, Line
from fitout.kit.models import Versioned


def months_after(start: date, months: int) -> date:
    """The same day of the month, months later; the last day where the month is shorter."""
    index = start.month - 1 + months
    year, month = start.year + index // 12, index % 12 + 1
    return date(year, month, min(start.day, calendar.monthrange(year, month)[1]))


class RegisterItem(Versioned):
    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="register")
    line = models.ForeignKey(Line, on_delete=models.CASCADE, related_name="register_items")
    ordinal = models.PositiveSmallIntegerField(default=1)
    description = models.CharField(max_length=200)
    part_code = models.CharField(max_length=40, blank=True)
    zone_name = models.CharField(max_length=60, blank=True)
    serial = models.CharField(max_length=80, blank=True)
    fitted_on = models.DateField(null=True, blank=True)
    warranty_months = models.PositiveSmallIntegerField(default=0)
    warranty_until = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["zone_name", "description", "ordinal"]
        constraints = [
            models.UniqueConstraint(fields=["line", "ordinal"], name="register_item_once")
        ]

    def __str__(self) -> str:
        return self.description

    def renew_warranty(self) -> None:
        """The end of the warranty follows from the day it was fitted."""
        self.warranty_until = None
        if self.fitted_on is not None and self.warranty_months:
            self.warranty_until = months_after(self.fitted_on, self.warranty_months)
