"""Snags: something wrong to put right."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from fitout.jobs.models import Job, Zone
from fitout.kit.models import Versioned
from fitout.workshop.models.tasks import Task


class SnagStatus(models.TextChoices):
    OPEN = "open", "Open"
    PUT_RIGHT = "put_right", "Put right"
    ACCEPTED = "accepted", "Accepted as it is"


class SnagQuerySet(models.QuerySet["Snag"]):
    def open(self) -> "SnagQuerySet":
        return self.filter(status=SnagStatus.OPEN)


class Snag(Versioned):
    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="snags")
    zone = models.ForeignKey(
        Zone, null=True, blank=True, on_delete=models.PROTECT, related_name="snags"
    )
    task = models.ForeignKey(
        Task, null=True, blank=True, on_delete=models.SET_NULL, related_name="snags"
    )
    title = models.CharField(max_length=120)
    description = models.TextField(blank=True, max_length=2000)
    photo = models.FileField(upload_to="snags/", blank=True)
    status = models.CharField(max_length=10, choices=SnagStatus.choices, default=SnagStatus.OPEN)
    raised_at = models.DateTimeField()
    raised_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="snags_raised"
    )
    assigned_to = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="snags",
    )
    closed_at = models.DateTimeField(null=True, blank=True)
    closing_note = models.CharField(max_length=400, blank=True)

    objects = SnagQuerySet.as_manager()

    class Meta:
        ordering = ["status", "-raised_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(status="open") | Q(closed_at__isnull=False), name="snag_closed_has_time"
            )
        ]

    def __str__(self) -> str:
        return self.title
