"""What a price list would do, row by row: new, changed, unchanged or refused, and why."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from typing import Any

from django.core.exceptions import ValidationError

from catalogue.models import Part, PriceList, SupplierPart
from catalogue.price_lists.columns import LABELS, rows_of
from catalogue.price_lists.reading import LONGEST_CELL
from fitout.kit.forms import NumberField
from fitout.kit.money import NARROW, money_text, quantity_text
from fitout.kit.text import check_text

LONGEST_CODE = 60
LARGE_CHANGE_PCT = 25


class Outcome(StrEnum):
    NEW = "new"
    CHANGED = "changed"
    UNCHANGED = "unchanged"
    REFUSED = "refused"


def amount_field(label: str) -> NumberField:
    return NumberField(label=label, min_value="0.01", max_value="100000", required=False)


def number_fields() -> dict[str, NumberField]:
    return {
        "cost": NumberField(label="Cost", min_value=0, max_value=1_000_000),
        "pack_quantity": amount_field("Pack quantity"),
        "minimum_order": amount_field("Minimum order"),
        "lead_days": NumberField(
            label="Lead time",
            min_value=0,
            max_value=730,
            decimal_places=0,
            unit="days",
            required=False,
        ),
    }


@dataclass
class CheckedRow:
    line: int
    typed: dict[str, str]
    values: dict[str, Decimal] = field(default_factory=dict)
    problems: list[tuple[str, str]] = field(default_factory=list)
    """Heading of the column in the file, and what is wrong there."""
    offer: SupplierPart | None = None
    part: Part | None = None
    differences: list[tuple[str, Any, Any]] = field(default_factory=list)
    """Label, value now, value in the list."""

    @property
    def told_differences(self) -> Iterator[tuple[str, str, str]]:
        for label, before, after in self.differences:
            yield label, self._with_unit(label, before), self._with_unit(label, after)

    def _with_unit(self, label: str, value: Any) -> str:
        if not isinstance(value, Decimal | int):
            return str(value)
        if label == LABELS["cost"]:
            return money_text(value)
        if label == LABELS["lead_days"]:
            return f"{value}{NARROW}days"
        unit = self.offer.part.get_unit_display() if self.offer else ""
        return f"{quantity_text(value, 2)}{NARROW}{unit}"

    @property
    def cost_change_pct(self) -> Decimal | None:
        """How far the list moves a known cost; None when it leaves it."""
        cost = self.values.get("cost")
        if self.offer is None or cost is None or not self.offer.cost or cost == self.offer.cost:
            return None
        now: Decimal = self.offer.cost
        return (cost / now - 1) * 100

    @property
    def is_large_change(self) -> bool:
        """Worth a second look before applying: often a price per pack in place of each."""
        return self.cost_change_pct is not None and abs(self.cost_change_pct) >= LARGE_CHANGE_PCT

    @property
    def outcome(self) -> Outcome:
        if self.problems:
            return Outcome.REFUSED
        if self.offer is None:
            return Outcome.NEW
        return Outcome.CHANGED if self.differences else Outcome.UNCHANGED


@dataclass(frozen=True)
class Check:
    rows: list[CheckedRow]

    def of(self, outcome: str) -> list[CheckedRow]:
        return [row for row in self.rows if row.outcome == outcome]

    @property
    def counts(self) -> dict[str, int]:
        counted = Counter(row.outcome for row in self.rows)
        return {outcome.value: counted[outcome] for outcome in Outcome}

    @property
    def seal(self) -> str:
        """Differs when the catalogue moved so that the list would do something else now."""
        told = [(row.line, row.outcome, row.differences) for row in self.rows]
        return hashlib.sha256(repr(told).encode()).hexdigest()[:32]


@dataclass
class Known:
    """What the catalogue holds, and what earlier rows of the list spoke of."""

    by_code: dict[str, SupplierPart]
    by_part: dict[int, SupplierPart]
    parts: dict[str, Part]
    numbers: dict[str, NumberField] = field(default_factory=number_fields)
    codes_seen: dict[str, int] = field(default_factory=dict)
    parts_seen: dict[int, int] = field(default_factory=dict)


def check(price_list: PriceList) -> Check:
    """Two queries, whatever the number of rows."""
    offers = list(price_list.supplier.offers.select_related("part"))
    rows = list(rows_of(price_list))
    asked = {texts["our_code"].upper() for _, texts in rows} - {""}
    parts = Part.objects.all() if asked else ()
    known = Known(
        by_code={offer.supplier_code.upper(): offer for offer in offers},
        by_part={offer.part_id: offer for offer in offers},
        parts={part.code.upper(): part for part in parts if part.code.upper() in asked},
    )
    return Check([_checked(line, texts, price_list.columns, known) for line, texts in rows])


def _checked(line: int, texts: dict[str, str], columns: dict[str, str], known: Known) -> CheckedRow:
    row = CheckedRow(line, texts)
    row.part = known.parts.get(texts["our_code"].upper())
    row.offer = known.by_code.get(texts["supplier_code"].upper())
    if row.offer is None and row.part is not None:
        row.offer = known.by_part.get(row.part.pk)
    problems = [
        *_text_problems(row),
        *_number_problems(row, known.numbers),
        *_place_problems(row),
        *_repeated(row, known),
    ]
    row.problems = [(columns.get(name, LABELS[name]), text) for name, text in problems]
    if row.offer is not None and not problems:
        row.differences = _differences(row, row.offer)
    return row


def _text_problems(row: CheckedRow) -> Iterator[tuple[str, str]]:
    code = row.typed["supplier_code"]
    if not code:
        yield "supplier_code", "is empty."
    if len(code) > LONGEST_CODE:
        yield "supplier_code", f"{LONGEST_CODE} characters at most."
    for name, text in row.typed.items():
        if len(text) > LONGEST_CELL and name != "description":
            yield name, f"{LONGEST_CELL} characters at most."
    try:
        check_text(code, name="Code")
    except ValidationError as error:
        yield "supplier_code", error.messages[0]


def _number_problems(row: CheckedRow, numbers: dict[str, NumberField]) -> Iterator[tuple[str, str]]:
    for name, number in numbers.items():
        try:
            value = number.clean(row.typed[name])
        except ValidationError as error:
            told = error.messages[0].removeprefix(f"{number.label}: ")
            yield name, told if row.typed[name] else "is empty."
        else:
            if value is not None:
                row.values[name] = value


def _repeated(row: CheckedRow, known: Known) -> Iterator[tuple[str, str]]:
    code = row.typed["supplier_code"].upper()
    if code:
        first = known.codes_seen.setdefault(code, row.line)
        if first != row.line:
            yield "supplier_code", f"stands in row {first} already."
            return
    part_id = row.offer.part_id if row.offer else row.part.pk if row.part else None
    if part_id is not None:
        first = known.parts_seen.setdefault(part_id, row.line)
        if first != row.line:
            yield "our_code", f"row {first} is about the same part already."


def _place_problems(row: CheckedRow) -> Iterator[tuple[str, str]]:
    ours = row.typed["our_code"]
    if ours and row.part is None:
        yield "our_code", f"there is no part “{ours}”."
    elif row.offer is None and row.part is None and row.typed["supplier_code"]:
        yield "supplier_code", "is not known here; give our code to make it an offer."
    elif row.offer and row.part and row.offer.part_id != row.part.pk:
        yield "our_code", f"this supplier’s code belongs to {row.offer.part.code}."
    elif row.offer is None and row.part and not row.part.active:
        yield "our_code", f"{row.part.code} is no longer used."


def _differences(row: CheckedRow, offer: SupplierPart) -> list[tuple[str, Any, Any]]:
    found: list[tuple[str, Any, Any]] = []
    if row.typed["supplier_code"] != offer.supplier_code:
        found.append((LABELS["supplier_code"], offer.supplier_code, row.typed["supplier_code"]))
    for name, value in row.values.items():
        if getattr(offer, name) != value:
            found.append((LABELS[name], getattr(offer, name), value))
    if not offer.active:
        found.append(("still offered", "no", "yes"))
    return found
