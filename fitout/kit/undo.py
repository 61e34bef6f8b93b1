"""Put rows back as an entry of the audit trail found them, if nobody moved them since."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.db import IntegrityError, connection, models, transaction
from django.utils import timezone

from . import access
from .audit import Actor, Change, Key, person_of, stored_values, tracked
from .models import AuditEntry, Versioned
from .rows import model_named, same_content, stored_row, typed_values

StageOf = Callable[[str], str | None]

# How to find the stage that decides whether the rows of a scope may still move.
SCOPE_STAGES: dict[str, StageOf] = {}


class CannotUndo(Exception):
    """The reason, as a sentence for the person who pressed Undo."""


def undo(entry: AuditEntry, *, by: Actor) -> AuditEntry:
    """Restore the rows of `entry`; the undo is itself an entry and can be undone."""
    if not entry.can_be_undone:
        raise CannotUndo("This change cannot be undone.")
    if entry.is_undone:
        raise CannotUndo("This change was already undone.")
    _check_allowed(entry, by)
    try:
        with tracked(
            actor=by,
            scope=entry.scope,
            label=undo_label(entry),
            action="undo",
            undoes=entry,
        ) as change:
            _check_unmoved(entry)
            _restore(entry, change, by)
            connection.check_constraints()
    except (IntegrityError, models.ProtectedError) as error:
        raise CannotUndo(_refusal_of(error)) from error
    if change.entry is None:
        raise CannotUndo("This change was already undone.")
    return change.entry


def _check_allowed(entry: AuditEntry, by: Actor) -> None:
    """What a person may not change at this stage they may not undo either."""
    first = entry
    while first.undoes is not None:
        first = first.undoes
    group = first.action.partition(".")[0]
    for action in {first.action, f"{first.action}.change", f"{group}.change"}:
        if action in access.RULES and not access.can(by, action, stage_of(entry.scope)):
            raise CannotUndo("This may not be changed any more at the stage the job has reached.")


def stage_of(scope: str) -> str | None:
    kind, _, key = scope.partition(":")
    return SCOPE_STAGES[kind](key) if kind in SCOPE_STAGES else None


def _refusal_of(error: Exception) -> str:
    if "frozen" in str(error) or "append-only" in str(error):
        return "This was issued since and stays as it was issued."
    return "Other entries now depend on this change, so it cannot be undone."


def undo_label(entry: AuditEntry) -> str:
    if entry.undoes_id:
        return f"Redone: {entry.label.removeprefix('Undone: ')}"
    return f"Undone: {entry.label.removeprefix('Redone: ')}"


def _check_unmoved(entry: AuditEntry) -> None:
    stored = stored_values({_key(item): model_named(item["model"]) for item in entry.changes})
    for item in entry.changes:
        if not same_content(stored.get(_key(item)), _kept_columns(item)):
            raise CannotUndo(_moved_reason(item))


def _kept_columns(item: dict[str, Any]) -> dict[str, Any] | None:
    """The row as the entry left it, without columns that were taken away since."""
    columns = {field.attname for field in model_named(item["model"])._meta.concrete_fields}
    after: dict[str, Any] | None = item["after"]
    return None if after is None else {name: after[name] for name in after if name in columns}


def _key(item: dict[str, Any]) -> Key:
    return item["model"], item["pk"]


def _moved_reason(item: dict[str, Any]) -> str:
    model = model_named(item["model"])
    stored, name = stored_row(model, item["pk"]), model._meta.verbose_name
    if stored is None:
        return f"The {name} was removed since; it cannot be put back as it was."
    if item["after"] is None:
        return f"The {name} is there again already."
    return f"The {name} “{stored}” was changed again since."


def _restore(entry: AuditEntry, change: Change, by: Actor) -> None:
    rows = [(model_named(item["model"]), item) for item in entry.changes]
    known = {_key(item) for item in entry.changes}
    change.watch(*(model(pk=model._meta.pk.to_python(item["pk"])) for model, item in rows))
    for model, item in rows:
        if item["before"] is None:
            _remove(model, item["pk"], known)
    for model, item in rows:
        if item["before"] is not None:
            _write(model, item, by)


def _remove(model: type[models.Model], pk: str, known: set[Key]) -> None:
    """Delete a row the entry made, unless rows made later would be deleted with it."""
    row = stored_row(model, pk)
    if row is None:
        return
    going = Change()
    going.removing(row)
    if any(not _follows(name) for name, _ in set(going.rows) - known):
        raise CannotUndo("Something was added to it since; remove that first.")
    row.delete()


def _follows(name: str) -> bool:
    """Rows that follow from others are made anew from them, so they may go along."""
    return bool(getattr(model_named(name), "follows_other_rows", False))


def _write(model: type[models.Model], item: dict[str, Any], by: Actor) -> None:
    values = typed_values(model, item["before"])
    stored = stored_row(model, item["pk"])
    row = stored or model()
    newest = stored.version if isinstance(stored, Versioned) else values.get("version", 0)
    for name, value in values.items():
        setattr(row, name, value)
    if isinstance(row, Versioned):
        row.version = newest + 1
        row.changed_at = timezone.now()
        row.changed_by = person_of(by)
    with transaction.atomic():
        row.save_base(raw=True, force_insert=stored is None, force_update=stored is not None)
