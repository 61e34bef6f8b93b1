"""Ask for what a worker works out, and keep what it came to."""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import datetime
from typing import Any, TypeVar

from django.db import transaction

from electrical.models.worked_out import LOST_AFTER, WorkedOut, WorkStatus
from fitout.jobs.models import Job
from fitout.kit.models import User

log = logging.getLogger("fitout.electrical")
TROUBLE = "It could not be worked out. The log of the worker says why."
Kind = TypeVar("Kind", bound=WorkedOut)


class CannotWorkOut(Exception):
    """Why not, as a sentence."""


@transaction.atomic
def ask_for(kind: type[Kind], job: Job, *, by: User, at: datetime, **values: Any) -> Kind:
    """One at a time; the one asked for before is thrown away once it is done."""
    job = Job.objects.select_for_update().get(pk=job.pk)
    rows = kind._default_manager.filter(job=job)
    waiting = rows.filter(status=WorkStatus.QUEUED, asked_at__gt=at - LOST_AFTER).first()
    if waiting is not None:
        return waiting
    rows.delete()
    return kind._default_manager.create(job=job, asked_at=at, asked_by=by, **values)


def make(row: Kind, work: Callable[[], dict[str, Any]], *, now: datetime) -> Kind:
    """Work it out and keep it. Trouble is kept in words, and in the log."""
    if row.status == WorkStatus.READY:
        return row
    try:
        row.found = work()
        row.status, row.trouble = WorkStatus.READY, ""
    except CannotWorkOut as reason:
        row.status, row.trouble = WorkStatus.FAILED, str(reason)[:400]
    except Exception:
        log.exception("%s could not be worked out", row)
        row.status, row.trouble = WorkStatus.FAILED, TROUBLE
    row.made_at = now
    row.save()
    return row
