"""The handover pack: the documents given with the vessel, as issued."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from fitout.jobs.models import Job
from fitout.kit.models import Document
from fitout.kit.numbering import format_number, revision_letter


class PackStatus(models.TextChoices):
    QUEUED = "queued", "Being made"
    READY = "ready", "Ready"
    FAILED = "failed", "Could not be made"


class Pack(models.Model):
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="packs")
    sequence = models.PositiveSmallIntegerField()
    status = models.CharField(max_length=8, choices=PackStatus.choices, default=PackStatus.QUEUED)
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    made_at = models.DateTimeField(null=True, blank=True)
    trouble = models.CharField(max_length=400, blank=True)
    open_points = models.PositiveSmallIntegerField(default=0)
    document = models.ForeignKey(Document, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-sequence"]
        constraints = [
            models.UniqueConstraint(fields=["job", "sequence"], name="pack_once_per_job"),
            models.CheckConstraint(
                condition=~Q(status="ready") | Q(document__isnull=False),
                name="ready_pack_has_document",
            ),
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def letter(self) -> str:
        return revision_letter(self.sequence)

    @property
    def number(self) -> str:
        return format_number("handover_pack", self.job.number, self.letter)
