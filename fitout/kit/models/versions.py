from __future__ import annotations

from typing import Any, Self

from django.conf import settings
from django.db import models, transaction
from django.utils import timezone


class StaleVersion(Exception):
    """Somebody else saved the row first; `current` is the row as it is now, or None if removed."""

    def __init__(self, current: Any) -> None:
        self.current = current
        super().__init__("changed by somebody else meanwhile")


class Versioned(models.Model):
    version = models.PositiveIntegerField(default=1, editable=False)
    changed_at = models.DateTimeField(null=True, blank=True, editable=False)
    changed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        editable=False,
        related_name="+",
    )

    class Meta:
        abstract = True

    def save_if_version(self, expected: int, *, by: Any = None, **save: Any) -> Self:
        """Save, unless somebody saved since version `expected` was read.

        The claim on the version is one UPDATE, so of two writers exactly one wins.
        """
        with transaction.atomic():
            rows = type(self)._meta.base_manager.filter(pk=self.pk)
            if not rows.filter(version=expected).update(version=expected + 1):
                raise StaleVersion(rows.first())
            self.version = expected + 1
            self.changed_at = timezone.now()
            self.changed_by = by
            if "update_fields" in save:
                stamp = ("version", "changed_at", "changed_by")
                save["update_fields"] = {*save["update_fields"], *stamp}
            self.save(**save)
        return self
