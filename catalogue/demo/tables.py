"""Reading the demo's tables: typed by the model's own fields, checked by its own rules."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

from django.core.exceptions import ValidationError
from django.db import models

DATA = Path(__file__).parent / "data"
YES_NO = {"yes": True, "no": False}

Row = dict[str, str]
Record = TypeVar("Record", bound=models.Model)


@cache
def rows_of(name: str) -> tuple[Row, ...]:
    with (DATA / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


def part_rows() -> Iterator[Row]:
    for path in sorted(DATA.glob("parts_*.csv")):
        yield from rows_of(path.stem)


def values_for(model: type[models.Model], row: Row, *, prefix: str = "") -> dict[str, Any]:
    """The row's cells that are plain columns of the model; an empty cell keeps the default."""
    found = {}
    for field in model._meta.concrete_fields:
        text = row.get(prefix + field.name, "")
        if text == "" or field.is_relation:
            continue
        if isinstance(field, models.BooleanField):
            found[field.name] = YES_NO[text]
        else:
            found[field.name] = field.to_python(text)
    return found


def checked(record: Record) -> Record:
    """The record, if its own rules accept it; the error names it, since tables are typed in."""
    relations = {f.name for f in record._meta.concrete_fields if f.is_relation}
    try:
        record.clean_fields(exclude=relations)
        record.clean()
    except ValidationError as error:
        raise ValueError(f"{record}: {error.message_dict}") from error
    return record


def by_code(model: type[Record]) -> dict[str, Record]:
    return {str(row.code): row for row in model._default_manager.all()}  # type: ignore[attr-defined]


def missing(model: type[models.Model], rows: Iterable[Row]) -> list[Row]:
    known = set(by_code(model))
    return [row for row in rows if row["code"] not in known]
