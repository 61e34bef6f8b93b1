"""What the top keeps: a job's figures as last shown, to tell what a change moved."""

from django.db import models

from fitout.jobs.models import Job


class Snapshot(models.Model):
    """Figures of a job after its latest change and before it. Derived; may be thrown away."""

    job = models.OneToOneField(Job, on_delete=models.CASCADE, related_name="snapshot")
    entry_id = models.BigIntegerField(default=0)
    current = models.JSONField()
    before = models.JSONField(null=True)
    moved_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"Figures of {self.job}"
