"""A row as plain values that fit in JSON, and back; for the audit trail and for undo."""

from __future__ import annotations

import base64
from collections.abc import Iterator, Sequence
from datetime import datetime, time
from typing import Any

from django.apps import apps
from django.core.serializers.json import DjangoJSONEncoder
from django.db import models

BOOKKEEPING = frozenset({"version", "changed_at", "changed_by_id"})

_encoder = DjangoJSONEncoder()


def row_values(row: models.Model) -> dict[str, Any]:
    """Column name to JSON value, as stored (foreign keys as their key).

    What a model names in `audit_hidden`, such as a password, is left out.
    """
    hidden: frozenset[str] = getattr(row, "audit_hidden", frozenset())
    return {
        field.attname: _plain(field, getattr(row, field.attname))
        for field in row._meta.concrete_fields
        if not field.generated and field.attname not in hidden
    }


def _plain(field: models.Field[Any, Any], value: Any) -> Any:
    if value is None or isinstance(value, bool | int | float | str):
        return value
    if isinstance(value, bytes | memoryview):
        return base64.b64encode(bytes(value)).decode()
    if isinstance(value, dict | list):
        return value
    if isinstance(value, datetime | time):
        return value.isoformat()  # the encoder would drop what is below a millisecond
    if isinstance(field, models.FileField):
        return str(value)
    return _encoder.default(value)


def typed_values(model: type[models.Model], values: dict[str, Any]) -> dict[str, Any]:
    fields = {field.attname: field for field in model._meta.concrete_fields}
    return {name: _typed(fields[name], value) for name, value in values.items() if name in fields}


def _typed(field: models.Field[Any, Any], value: Any) -> Any:
    if value is None or isinstance(field, models.JSONField):
        return value
    if isinstance(field, models.BinaryField):
        return base64.b64decode(value)
    target = field.target_field if isinstance(field, models.ForeignKey) else field
    return target.to_python(value)


def same_content(left: dict[str, Any] | None, right: dict[str, Any] | None) -> bool:
    """Equal but for version, time and person of the last change."""
    if left is None or right is None:
        return left is right

    def told(values: dict[str, Any]) -> dict[str, Any]:
        return {name: value for name, value in values.items() if name not in BOOKKEEPING}

    return told(left) == told(right)


def model_named(name: str) -> type[models.Model]:
    return apps.get_model(name)


def stored_row(model: type[models.Model], pk: Any) -> models.Model | None:
    return model._meta.base_manager.filter(pk=pk).first()


def stored_rows(
    model: type[models.Model], pks: Sequence[Any], beside: Sequence[str] = ()
) -> Iterator[models.Model]:
    """In portions a database takes as parameters of one query; `beside` names relations to join."""
    rows = model._meta.base_manager.all()
    if beside:
        rows = rows.select_related(*beside)
    for start in range(0, len(pks), 500):
        yield from rows.filter(pk__in=pks[start : start + 500])
