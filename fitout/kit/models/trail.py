from __future__ import annotations

from django.conf import settings
from django.db import models


class AuditEntryQuerySet(models.QuerySet["AuditEntry"]):
    def in_scope(self, scope: str) -> AuditEntryQuerySet:
        return self.filter(scope=scope)

    def for_trail(self) -> AuditEntryQuerySet:
        return self.select_related("actor", "undoes", "undone_by").order_by("-pk")


class AuditEntry(models.Model):
    """One change, with the rows before and after. Never updated, never deleted.

    `changes` is a list of `{"model", "pk", "before", "after"}`; `before` is null for a
    row made by this change and `after` is null for a row it removed.
    """

    at = models.DateTimeField(db_index=True)
    actor = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    action = models.CharField(max_length=60)
    scope = models.CharField(max_length=60, blank=True, db_index=True)
    label = models.CharField(max_length=200)
    subject_model = models.CharField(max_length=80, blank=True)
    subject_pk = models.CharField(max_length=40, blank=True)
    changes = models.JSONField(default=list)
    can_be_undone = models.BooleanField(default=False)
    undoes = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, related_name="undone_by"
    )

    objects = AuditEntryQuerySet.as_manager()

    class Meta:
        ordering = ("-pk",)
        indexes = (models.Index(fields=["subject_model", "subject_pk"], name="audit_by_subject"),)

    def __str__(self) -> str:
        return self.label

    @property
    def is_undone(self) -> bool:
        return hasattr(self, "undone_by")

    @property
    def is_open_to_undo(self) -> bool:
        return self.can_be_undone and not self.is_undone
