"""An audit entry, told in words: which row, which field, from what, to what."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.db import models
from django.utils.dateparse import parse_date, parse_datetime
from django.utils.formats import date_format
from django.utils.timezone import localtime

from .models import AuditEntry
from .numbering import format_number
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
    def scope(self) -> str:
        """What the entry is filed under, a job by its code."""
        kind, _, key = self.entry.scope.partition(":")
        return format_number("job", int(key)) if kind == "job" and key.isdecimal() else kind

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
    fields = {field.attname: field for field in model._meta.concrete_fields} if model else {}
    for name in after:
        if name not in BOOKKEEPING and before.get(name) != after[name]:
            field = fields.get(name)
            yield FieldReading(
                row=row,
                field=str(field.verbose_name) if field else name,
                before=_text(before.get(name), field),
                after=_text(after[name], field),
            )


def _model(name: str) -> type[models.Model] | None:
    try:
        return apps.get_model(name)
    except LookupError:
        return None


def _text(value: Any, field: models.Field[Any, Any] | None) -> str:
    """A stored value in words: the name of a choice, yes or no, empty."""
    words = dict(field.flatchoices) if field else {}
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value is None or (value == "" and value not in words):
        return "empty"
    if isinstance(field, models.DateTimeField) and (moment := parse_datetime(str(value))):
        value = date_format(localtime(moment), "j M Y H:i")
    elif isinstance(field, models.DateField) and (day := parse_date(str(value))):
        value = date_format(day, "j M Y")
    text = str(words.get(value, value))
    return text if len(text) <= LONGEST_VALUE else f"{text[:LONGEST_VALUE]}…"
