"""The register: equipment with serial numbers and warranty dates."""

from django.db import models

from fitout.jobs.models import Job, Line
from fitout.kit.models import Versioned


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
