"""Audit entries told in words: which row, which field, from what, to what."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.apps import apps
from django.db import models
from django.utils.dateparse import parse_date, parse_datetime
from django.utils.formats import date_format
from django.utils.timezone import localtime

from .models import AuditEntry
from .numbering import format_number
from .rows import BOOKKEEPING, stored_rows

LONGEST_VALUE = 120
#: Columns that tell people which row it was, the best first.
NAMING = ("title", "name", "description", "label", "code")


@dataclass(frozen=True)
class FieldReading:
    row: str
    field: str
    before: str
    after: str


@dataclass(frozen=True)
class Names:
    """What rows that entries change or refer to are called now: one query for each model."""

    known: dict[type[models.Model], dict[str, str]]

    @classmethod
    def in_entries(cls, entries: Iterable[AuditEntry]) -> Names:
        wanted: defaultdict[type[models.Model], set[str]] = defaultdict(set)
        for entry in entries:
            for change in entry.changes:
                for target, key in (*_references(change), *_changed(change)):
                    wanted[target].add(key)
        return cls({target: cls.read(target, keys) for target, keys in wanted.items()})

    @staticmethod
    def read(target: type[models.Model], keys: set[str]) -> dict[str, str]:
        """A name may tell of a row beside it, so these come in the same query."""
        rows = stored_rows(target, sorted(keys), list(_beside(target)))
        return {str(row.pk): str(row) for row in rows}

    def of_row(self, change: dict[str, Any]) -> str:
        """The changed row itself; one that is gone by what the entry holds of it."""
        model, key = _model(change["model"]), str(change["pk"])
        if model is None:
            return f"{change['model']} {key}"
        word = str(model._meta.verbose_name)
        if name := self.known.get(model, {}).get(key):
            return f"{word} “{name}”"
        told = _name_in(change["before"] or {}) or _name_in(change["after"] or {})
        since = ", removed since" if change["after"] is not None else ""
        return f"{word} “{told}”{since}" if told else f"{word} {key}{since}"

    def of(self, target: type[models.Model], key: Any) -> str:
        name = self.known.get(target, {}).get(str(key))
        return name or f"{target._meta.verbose_name} {key}, removed since"


def _keys(model: type[models.Model]) -> list[models.ForeignKey[Any, Any]]:
    return [field for field in model._meta.concrete_fields if isinstance(field, models.ForeignKey)]


def _beside(model: type[models.Model]) -> Iterator[str]:
    """Every relation of a model, and the required ones of those it must have."""
    for key in _keys(model):
        yield key.name
        if not key.null:
            yield from (
                f"{key.name}__{far.name}" for far in _keys(key.related_model) if not far.null
            )


def _changed(change: dict[str, Any]) -> Iterator[tuple[type[models.Model], str]]:
    model = _model(change["model"])
    if model is not None and not model._meta.auto_created:
        yield model, str(change["pk"])


def _name_in(values: dict[str, Any]) -> str:
    return next((str(values[name]) for name in NAMING if values.get(name)), "")


def _references(change: dict[str, Any]) -> Iterator[tuple[type[models.Model], str]]:
    for field in _told_keys(change):
        for side in (change["before"], change["after"]):
            if side and side.get(field.attname) is not None:
                yield field.related_model, str(side[field.attname])


def _told_keys(change: dict[str, Any]) -> list[models.ForeignKey[Any, Any]]:
    """Foreign keys the reading names: those that moved, or both ends of a link row."""
    model, before, after = _model(change["model"]), change["before"], change["after"]
    if model is None:
        return []
    keys = _keys(model)
    if before is None or after is None:
        return keys if model._meta.auto_created else []
    return [
        field
        for field in keys
        if field.attname not in BOOKKEEPING
        and before.get(field.attname) != after.get(field.attname)
    ]


@dataclass(frozen=True)
class EntryReading:
    entry: AuditEntry
    names: Names

    @property
    def scope(self) -> str:
        """What the entry is filed under, a job by its code."""
        kind, _, key = self.entry.scope.partition(":")
        return format_number("job", int(key)) if kind == "job" and key.isdecimal() else kind

    @cached_property
    def fields(self) -> list[FieldReading]:
        return [
            reading for change in self.entry.changes for reading in _fields_of(change, self.names)
        ]


def readings_of(entries: Iterable[AuditEntry]) -> list[EntryReading]:
    read = list(entries)
    names = Names.in_entries(read)
    return [EntryReading(entry, names) for entry in read]


def _fields_of(change: dict[str, Any], names: Names) -> Iterator[FieldReading]:
    model = _model(change["model"])
    row = names.of_row(change)
    before, after = change["before"], change["after"]
    if before is None and after is None:
        return  # the entry's own words tell it all
    if before is None or after is None:
        what = "added" if before is None else "removed"
        if model is not None and model._meta.auto_created:
            yield _link_reading(model, after or before, what, names)
        else:
            yield FieldReading(row=row, field=what, before="", after="")
        return
    fields = {field.attname: field for field in model._meta.concrete_fields} if model else {}
    for name in after:
        if name not in BOOKKEEPING and before.get(name) != after[name]:
            field = fields.get(name)
            yield FieldReading(
                row=row,
                field=str(field.verbose_name) if field else name,
                before=_text(before.get(name), field, names),
                after=_text(after[name], field, names),
            )


def _link_reading(
    model: type[models.Model], values: dict[str, Any], what: str, names: Names
) -> FieldReading:
    """A row that only links two others: "Deck flood: condition Overhead work added"."""
    ends = _keys(model)
    holder, held = (names.of(end.related_model, values[end.attname]) for end in ends[:2])
    word = ends[1].related_model._meta.verbose_name
    return FieldReading(row=holder, field=f"{word} {held} {what}", before="", after="")


def _model(name: str) -> type[models.Model] | None:
    try:
        return apps.get_model(name)
    except LookupError:
        return None


def _text(value: Any, field: models.Field[Any, Any] | None, names: Names) -> str:
    """A stored value in words: the name of a choice or a row, yes or no, empty."""
    words = dict(field.flatchoices) if field else {}
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value is None or (value == "" and value not in words):
        return "empty"
    if isinstance(field, models.ForeignKey):
        value = names.of(field.related_model, value)
    elif isinstance(field, models.DateTimeField) and (moment := parse_datetime(str(value))):
        value = date_format(localtime(moment), "j M Y H:i")
    elif isinstance(field, models.DateField) and (day := parse_date(str(value))):
        value = date_format(day, "j M Y")
    text = str(words.get(value, value))
    return text if len(text) <= LONGEST_VALUE else f"{text[:LONGEST_VALUE]}…"
