"""What choosing all cables and fuses of a job together came to."""

from datetime import timedelta
from typing import Any

from django.conf import settings
from django.db import models

from fitout.jobs.models import Job

#: One asked for longer ago than this has been lost with its worker; another may be asked for.
LOST_AFTER = timedelta(minutes=10)


class JointStatus(models.TextChoices):
    QUEUED = "queued", "Being worked out"
    READY = "ready", "Ready"
    FAILED = "failed", "Could not be worked out"


class JointChoice(models.Model):
    """Worked out by a worker; thrown away when another is asked for."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="joint_choices")
    status = models.CharField(max_length=8, choices=JointStatus, default=JointStatus.QUEUED)
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    made_at = models.DateTimeField(null=True, blank=True)
    trouble = models.CharField(max_length=400, blank=True)
    found: models.JSONField[Any, Any] = models.JSONField(default=dict)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"{self.job.code}: {self.get_status_display().lower()}"
