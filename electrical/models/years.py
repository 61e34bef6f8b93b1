"""The energy of a job over a year, as last worked out."""

from django.db import models

from electrical.models.worked_out import WorkedOut
from fitout.jobs.models import Job


class EnergyYear(WorkedOut):
    """`stamp` tells what it was worked out from, so that a later change shows."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="energy_years")
    stamp = models.CharField(max_length=64, blank=True)
