"""Every change leaves an entry: who, what, when, and the rows before and after."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from django.contrib.auth.models import AnonymousUser
from django.db import models, router, transaction
from django.db.models.deletion import Collector
from django.utils import timezone

from .models import AuditEntry, User
from .rows import row_values, stored_rows

Key = tuple[str, str]
Actor = User | AnonymousUser | None
Follow = Callable[[str, Sequence[Mapping[str, Any]], Actor], None]

_followers: list[tuple[frozenset[str], Follow]] = []


def register_follower(model_labels: Iterable[str], follow: Follow) -> None:
    """What is made from rows of these models is made anew in the transaction that changes them.

    An app registers from `AppConfig.ready()`. `follow(scope, changes, actor)` gets the changes
    of the entry to those models only; what it writes is no part of the entry.
    """
    _followers.append((frozenset(model_labels), follow))


def _tell_followers(scope: str, differences: Sequence[Mapping[str, Any]], actor: Actor) -> None:
    for labels, follow in _followers:
        changes = [change for change in differences if change["model"] in labels]
        if changes:
            follow(scope, changes, actor)


def person_of(actor: Actor) -> User | None:
    """Nobody signed in, such as a customer on a link, is stored as nobody."""
    return actor if isinstance(actor, User) else None


def key_of(row: models.Model) -> Key:
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
    model, pk = key_of(subject)
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
    subject: Key | None = None

    def watch(self, *rows: models.Model) -> None:
        """Remember rows as they are stored now, whatever the objects in hand hold."""
        self._about(rows)
        unknown = {key_of(row): type(row) for row in rows if key_of(row) not in self.rows}
        before = stored_values(unknown)
        for key, model in unknown.items():
            self.rows[key] = (model, before.get(key))

    def created(self, *rows: models.Model) -> None:
        self._about(rows)
        for row in rows:
            self.rows.setdefault(key_of(row), (type(row), None))

    def removing(self, *rows: models.Model) -> None:
        """Remember rows about to be deleted, with everything that goes with them."""
        self._about(rows)
        for row in rows:
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
        stored = stored_values({key: model for key, (model, _) in self.rows.items()})
        return [
            {"model": key[0], "pk": key[1], "before": before, "after": stored.get(key)}
            for key, (_, before) in self.rows.items()
            if before != stored.get(key)
        ]

    def _about(self, rows: Sequence[models.Model]) -> None:
        """The first row named is what the entry is about."""
        if self.subject is None and rows:
            self.subject = key_of(rows[0])


def stored_values(wanted: Mapping[Key, type[models.Model]]) -> dict[Key, dict[str, Any]]:
    """Rows as stored, one query per model."""
    by_model: dict[type[models.Model], list[str]] = {}
    for (_, pk), model in wanted.items():
        by_model.setdefault(model, []).append(pk)
    return {
        key_of(row): row_values(row)
        for model, pks in by_model.items()
        for row in stored_rows(model, pks)
    }


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
        model, pk = change.subject or ("", "")
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
        _tell_followers(scope, differences, actor)
