"""What the catalogue answers to the search box and to the code field of a kit."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import chain
from typing import Any

from catalogue.models import Kit, LabourOperation, Part, Supplier
from fitout.kit import access

MOST = 20


@dataclass(frozen=True)
class Hit:
    kind: str
    code: str
    title: str
    url: str
    detail: str = ""


def find(q: str, user: Any) -> list[Hit]:
    """Parts for everybody; kits, suppliers and labour for those who may see them."""
    if not q.strip():
        return []
    hits: list[Iterable[Hit]] = [_parts(q)]
    if access.can(user, "kits.view"):
        hits.append(_kits(q))
    if access.can(user, "suppliers.view"):
        hits.append(_suppliers(q))
    if access.can(user, "labour.view"):
        hits.append(_operations(q))
    return list(chain.from_iterable(hits))


def _parts(q: str) -> Iterable[Hit]:
    for part in Part.objects.active().matching(q)[:MOST]:
        url, detail = part.get_absolute_url(), part.get_category_display()
        yield Hit("Part", part.code, part.description, url, detail)


def _kits(q: str) -> Iterable[Hit]:
    for kit in Kit.objects.active().matching(q)[:MOST]:
        url, detail = kit.get_absolute_url(), kit.get_category_display()
        yield Hit("Kit", kit.code, kit.description, url, detail)


def _suppliers(q: str) -> Iterable[Hit]:
    for supplier in Supplier.objects.active().matching(q)[:MOST]:
        detail = "Subcontractor" if supplier.is_subcontractor else "Supplier"
        yield Hit("Supplier", supplier.code, supplier.name, supplier.get_absolute_url(), detail)


def _operations(q: str) -> Iterable[Hit]:
    for operation in LabourOperation.objects.active().matching(q).select_related("trade")[:MOST]:
        url, detail = operation.get_absolute_url(), str(operation.trade)
        yield Hit("Labour", operation.code, operation.description, url, detail)


def suggestions(text: str) -> list[tuple[str, str]]:
    """Codes with their descriptions, for a list under a text field."""
    if len(text.strip()) < 2:
        return []
    rows: Iterable[Any] = chain(
        Kit.objects.active().matching(text)[:8],
        Part.objects.active().matching(text)[:12],
        LabourOperation.objects.active().matching(text)[:8],
    )
    return [(row.code, row.description) for row in rows]
