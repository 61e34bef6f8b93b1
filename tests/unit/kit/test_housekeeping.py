from datetime import timedelta
from typing import Any

from django.contrib.sessions.models import Session
from django.utils import timezone
from django_tasks.base import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from fitout.kit.audit import record
from fitout.kit.housekeeping import tidy
from fitout.kit.models import AuditEntry, User


def finished(days_ago: int, status: TaskResultStatus) -> DBTaskResult[Any, Any]:
    return DBTaskResult.objects.create(
        args_kwargs={"args": [], "kwargs": {}},
        status=status,
        finished_at=timezone.now() - timedelta(days=days_ago),
        task_path="x",
        backend_name="default",
        run_after=timezone.now(),
        exception_class_path="",
        traceback="",
    )


def test_only_what_nobody_will_ask_for_is_forgotten(owner: User) -> None:
    now = timezone.now()
    Session.objects.create(session_key="old", expire_date=now - timedelta(days=1))
    Session.objects.create(session_key="new", expire_date=now + timedelta(days=1))
    finished(31, TaskResultStatus.SUCCESSFUL)
    kept = [finished(29, TaskResultStatus.FAILED), finished(99, TaskResultStatus.READY)]
    record(owner, "issue", owner, scope="", label="Kept for ever")
    assert tidy(now) == 2
    assert [s.session_key for s in Session.objects.all()] == ["new"]
    assert set(DBTaskResult.objects.all()) == set(kept)
    assert AuditEntry.objects.count() == 1
