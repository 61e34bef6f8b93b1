"""Raise a snag, put it right, accept it as it is; every step on record."""

from __future__ import annotations

from datetime import datetime

from django.core.files.base import ContentFile
from django.db import transaction

from fitout.jobs.models import Job, Zone
from fitout.kit.audit import record
from fitout.kit.models import User
from fitout.workshop.models import Snag, SnagStatus, Task


class CannotClose(Exception):
    """The reason, as a sentence."""


@transaction.atomic
def raise_snag(
    job: Job,
    *,
    title: str,
    description: str,
    by: User,
    at: datetime,
    task: Task | None = None,
    zone: Zone | None = None,
    photo: bytes | None = None,
) -> Snag:
    """`photo` is a JPEG that was made anew from the upload."""
    snag = Snag(
        job=job,
        zone=zone or (task.zone if task else None),
        task=task,
        title=title,
        description=description,
        raised_at=at,
        raised_by=by,
        changed_by=by,
    )
    if photo is not None:
        name = f"{job.code}-{at:%Y%m%d-%H%M%S-%f}.jpg"
        snag.photo.save(name, ContentFile(photo), save=False)
    snag.save()
    record(by, "snag", snag, scope=job.scope, label=f"Snag: {title}")
    return snag


@transaction.atomic
def close(snag: Snag, *, status: str, note: str, by: User, at: datetime) -> Snag:
    snag = Snag.objects.select_for_update().get(pk=snag.pk)
    if snag.status != SnagStatus.OPEN:
        raise CannotClose(f"“{snag}” is closed already: {snag.get_status_display().lower()}.")
    if status == SnagStatus.ACCEPTED and not note:
        raise CannotClose("Closing note: say why it stays as it is.")
    snag.status, snag.closing_note, snag.closed_at = SnagStatus(status), note, at
    snag.save_if_version(snag.version, by=by)
    record(
        by,
        "snag",
        snag,
        scope=snag.job.scope,
        label=f"Snag {SnagStatus(status).label.lower()}: {snag}",
    )
    return snag
