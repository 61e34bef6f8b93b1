"""An audit entry, told in words: which row, which field, from what, to what."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.db import models

from .models import AuditEntry
from .rows import BOOKKEEPING

LONGEST_VALUE = 120


@dataclass(frozen=True)
class FieldReading:
    row: str
    field: str
    before: str
    after: str


@dataclass(frozen=True)
class EntryReading:
    entry: AuditEntry

    @property
    def fields(self) -> list[FieldReading]:
        return [reading for change in self.entry.changes for reading in _fields_of(change)]


def _fields_of(change: dict[str, Any]) -> Iterator[FieldReading]:
    model = _model(change["model"])
    row = f"{model._meta.verbose_name if model else change['model']} {change['pk']}"
    before, after = change["before"], change["after"]
    if before is None or after is None:
        what = "added" if before is None else "removed"
        yield FieldReading(row=row, field=what, before="", after="")
        return
    for name in after:
        if name not in BOOKKEEPING and before.get(name) != after[name]:
            yield FieldReading(
                row=row,
                field=_field_name(model, name),
                before=_text(before.get(name)),
                after=_text(after[name]),
            )


def _model(name: str) -> type[models.Model] | None:
    try:
        return apps.get_model(name)
    except LookupError:
        return None


def _field_name(model: type[models.Model] | None, name: str) -> str:
    if model is not None:
        for field in model._meta.concrete_fields:
            if field.attname == name:
                return str(field.verbose_name)
    return name


def _text(value: Any) -> str:
    text = "empty" if value in (None, "") else str(value)
    return text if len(text) <= LONGEST_VALUE else f"{text[:LONGEST_VALUE]}…"
