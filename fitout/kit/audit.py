"""Every change leaves an entry: who, what, when, and the rows before and after."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from django.contrib.auth.models import AnonymousUser
from django.db import models, router, transaction
from django.db.models.deletion import Collector
from django.utils import timezone

from .models import AuditEntry, User
from .rows import row_values, stored_row

Key = tuple[str, str]
Actor = User | AnonymousUser | None


def person_of(actor: Actor) -> User | None:
    """Nobody signed in, such as a customer on a link, is stored as nobody."""
    return actor if isinstance(actor, User) else None


def _key(row: models.Model) -> Key:
    return row._meta.label_lower, str(row.pk)


def record(
    actor: Actor,
    action: str,
    subject: models.Model,
    *,
    scope: str,
    label: str,
    before: dict[str, Any] | None = None,
    after: dict[str, Any] | None = None,
) -> AuditEntry:
    """An entry that tells, but cannot be undone: issued, sent, signed, received."""
    model, pk = _key(subject)
    change = {"model": model, "pk": pk, "before": before, "after": after}
    return AuditEntry.objects.create(
        at=timezone.now(),
        actor=person_of(actor),
        action=action,
        scope=scope,
        label=label[:200],
        subject_model=model,
        subject_pk=pk,
        changes=[change],
    )


@dataclass
class Change:
    """The rows one change touches. Watch before changing, remove through `removing`."""

    rows: dict[Key, tuple[type[models.Model], dict[str, Any] | None]] = field(default_factory=dict)
    entry: AuditEntry | None = None
    subject: models.Model | None = None

    def watch(self, *rows: models.Model) -> None:
        """Remember rows as they are stored now, whatever the objects in hand hold."""
        for row in rows:
            self.subject = self.subject or row
            if _key(row) not in self.rows:
                stored = stored_row(type(row), row.pk)
                before = None if stored is None else row_values(stored)
                self.rows[_key(row)] = (type(row), before)

    def created(self, *rows: models.Model) -> None:
        for row in rows:
            self.subject = self.subject or row
            self.rows.setdefault(_key(row), (type(row), None))

    def removing(self, *rows: models.Model) -> None:
        """Remember rows about to be deleted, with everything that goes with them."""
        for row in rows:
            self.subject = self.subject or row
            collector = Collector(using=router.db_for_write(type(row)), origin=row)
            collector.collect([row])
            for going in collector.data.values():
                self.watch(*going)
            for quick in collector.fast_deletes:
                self.watch(*quick)
            emptying: Any = collector.field_updates.values()
            for updates in emptying:
                for emptied in updates:
                    self.watch(*emptied)

    def differences(self) -> list[dict[str, Any]]:
        found = []
        for (name, pk), (model, before) in self.rows.items():
            stored = stored_row(model, pk)
            after = None if stored is None else row_values(stored)
            if before != after:
                found.append({"model": name, "pk": pk, "before": before, "after": after})
        return found


@contextmanager
def tracked(
    *,
    actor: Actor,
    scope: str,
    label: str,
    action: str = "change",
    undoable: bool = True,
    undoes: AuditEntry | None = None,
) -> Iterator[Change]:
    """One undoable entry for everything changed in the block; no entry if nothing changed."""
    change = Change()
    with transaction.atomic():
        yield change
        differences = change.differences()
        if not differences:
            return
        model, pk = _key(change.subject) if change.subject else ("", "")
        if change.subject is not None and change.subject.pk is None:
            pk = differences[0]["pk"]
        change.entry = AuditEntry.objects.create(
            at=timezone.now(),
            actor=person_of(actor),
            action=action,
            scope=scope,
            label=label[:200],
            subject_model=model,
            subject_pk=pk,
            changes=differences,
            can_be_undone=undoable,
            undoes=undoes,
        )
