from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q


class Audience(models.TextChoices):
    STAFF_MONEY = "staff-money", "Owner and estimator"
    STAFF = "staff", "Everybody in the workshop"
    CUSTOMER = "customer", "Customer, owner and estimator"
    EVERYONE = "everyone", "Everybody, the customer included"

    @property
    def open_to_technicians(self) -> bool:
        return self in (Audience.STAFF, Audience.EVERYONE)


class DocumentQuerySet(models.QuerySet["Document"]):
    def without_content(self) -> DocumentQuerySet:
        return self.defer("content")

    def in_scope(self, scope: str) -> DocumentQuerySet:
        return self.filter(scope=scope).without_content()


class Document(models.Model):
    """An issued document, byte for byte. Superseded by a later one, never changed."""

    kind = models.CharField(max_length=30)
    number = models.CharField(max_length=40)
    revision = models.CharField(max_length=4, blank=True)
    title = models.CharField(max_length=200)
    scope = models.CharField(max_length=60, blank=True, db_index=True)
    filename = models.CharField(max_length=120)
    content_type = models.CharField(max_length=60, default="application/pdf")
    content = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    audience = models.CharField(max_length=12, choices=Audience, default=Audience.STAFF_MONEY)

    objects = DocumentQuerySet.as_manager()

    class Meta:
        ordering = ("-issued_at", "-pk")
        constraints = (
            models.UniqueConstraint(
                fields=["kind", "number", "revision"], name="document_number_once_per_kind"
            ),
            models.CheckConstraint(
                condition=Q(audience__in=[a.value for a in Audience]),
                name="document_audience_is_known",
            ),
        )

    def __str__(self) -> str:
        return f"{self.number} {self.title}"
