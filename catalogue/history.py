"""The latest changes to a row of the catalogue, told in words, for the foot of its page."""

from __future__ import annotations

from django.db.models import Model

from fitout.kit.models import AuditEntry
from fitout.kit.trail import EntryReading, readings_of

SHOWN = 8


def changes_to(row: Model) -> list[EntryReading]:
    entries = AuditEntry.objects.for_trail().filter(
        subject_model=row._meta.label_lower, subject_pk=str(row.pk)
    )
    return readings_of(entries[:SHOWN])
