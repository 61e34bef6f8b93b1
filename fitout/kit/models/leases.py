from __future__ import annotations

from datetime import datetime

from django.db import models


class LeaseQuerySet(models.QuerySet["Lease"]):
    def lapsed(self, now: datetime) -> LeaseQuerySet:
        return self.filter(until__lt=now)


class Lease(models.Model):
    """A worker's claim on a background task, good until a moment it keeps pushing on."""

    task_id = models.UUIDField(primary_key=True)
    worker_id = models.CharField(max_length=64)
    until = models.DateTimeField(db_index=True)

    objects = LeaseQuerySet.as_manager()

    def __str__(self) -> str:
        return f"{self.task_id} held by {self.worker_id} until {self.until:%H:%M:%S}"
