"""What the catalogue offers for a few typed words: `2 deck flood`."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from decimal import Decimal

from catalogue.models import Kit, LabourOperation, Part

QUANTITY = re.compile(r"^\s*(\d{1,5}(?:[.,]\d{1,2})?)\s*(?:[x×]\s*)?(?=\D)")
MOST_OF_A_KIND = 12


@dataclass(frozen=True)
class Offered:
    kind: str
    id: int
    code: str
    description: str
    unit: str
    note: str = ""


@dataclass(frozen=True)
class Found:
    quantity: Decimal = Decimal(1)
    words: str = ""
    offered: list[Offered] = field(default_factory=list)


def find(asked: str) -> Found:
    """Parts, kits and operations that hold every word; a number in front is the quantity."""
    quantity, words = split_quantity(asked)
    if len(words) < 2:
        return Found(quantity=quantity, words=words)
    offered = [*_parts(words), *_kits(words), *_operations(words)]
    return Found(quantity=quantity, words=words, offered=offered)


def split_quantity(asked: str) -> tuple[Decimal, str]:
    match = QUANTITY.match(asked)
    if match is None:
        return Decimal(1), asked.strip()
    quantity = Decimal(match[1].replace(",", "."))
    words = asked[match.end() :].strip()
    if not quantity or not words:
        return Decimal(1), asked.strip()
    return quantity, words


def _parts(words: str) -> list[Offered]:
    return [
        Offered("part", part.pk, part.code, part.description, part.get_unit_display())
        for part in Part.objects.active().matching(words)[:MOST_OF_A_KIND]
    ]


def _kits(words: str) -> list[Offered]:
    return [
        Offered("kit", kit.pk, kit.code, kit.description, "kit")
        for kit in Kit.objects.active().matching(words)[:MOST_OF_A_KIND]
    ]


def _operations(words: str) -> list[Offered]:
    return [
        Offered(
            "labour",
            operation.pk,
            operation.code,
            operation.description,
            "job",
            f"{operation.standard_h.normalize():f}\N{NO-BREAK SPACE}h",
        )
        for operation in LabourOperation.objects.active().matching(words)[:MOST_OF_A_KIND]
    ]
