"""Starting a new row of the catalogue from one like it: `?like=17` in the address."""

from __future__ import annotations

from typing import TypeVar

from django.db.models import Model, QuerySet
from django.http import HttpRequest

Row = TypeVar("Row", bound=Model)
LONGEST_NUMBER = 18


def asked_for(request: HttpRequest, rows: QuerySet[Row]) -> Row | None:
    """The row to start from; None when none is asked for or there is no such row."""
    asked = request.GET.get("like", "")
    if not (asked.isascii() and asked.isdecimal() and len(asked) <= LONGEST_NUMBER):
        return None
    return rows.filter(pk=int(asked)).first()
