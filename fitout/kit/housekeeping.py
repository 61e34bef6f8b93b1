"""What may be forgotten after a while, so that tables do not grow without end."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from axes.models import AccessAttempt, AccessLog
from django.contrib.sessions.models import Session
from django_tasks_db.models import DBTaskResult

from .once import forget_old_keys

KEEP_TASKS = timedelta(days=30)
KEEP_SIGN_INS = timedelta(days=90)


def tidy(now: datetime) -> int:
    """Remove outdated rows that nobody will ask for again; the number removed."""
    old: list[Any] = [
        Session.objects.filter(expire_date__lt=now),
        DBTaskResult.objects.finished().filter(finished_at__lt=now - KEEP_TASKS),
        AccessAttempt.objects.filter(attempt_time__lt=now - KEEP_SIGN_INS),
        AccessLog.objects.filter(attempt_time__lt=now - KEEP_SIGN_INS),
    ]
    removed: int = sum(rows.delete()[0] for rows in old)
    return removed + forget_old_keys(now)
