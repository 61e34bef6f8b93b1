"""What takes seconds to compute: asked for in a page, worked out by a worker, kept for the job."""

from datetime import timedelta
from typing import Any

from django.conf import settings
from django.db import models

#: One asked for longer ago than this has been lost with its worker; another may be asked for.
LOST_AFTER = timedelta(minutes=10)


class WorkStatus(models.TextChoices):
    QUEUED = "queued", "Being worked out"
    READY = "ready", "Ready"
    FAILED = "failed", "Could not be worked out"


class WorkedOut(models.Model):
    """Thrown away when another is asked for. Each kind adds its job."""

    status = models.CharField(max_length=8, choices=WorkStatus, default=WorkStatus.QUEUED)
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    made_at = models.DateTimeField(null=True, blank=True)
    trouble = models.CharField(max_length=400, blank=True)
    found: models.JSONField[Any, Any] = models.JSONField(default=dict)

    class Meta:
        abstract = True
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"{self._meta.verbose_name} {self.pk}: {self.get_status_display().lower()}"
