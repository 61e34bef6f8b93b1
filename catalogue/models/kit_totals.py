"""What a kit comes to: cost, mass and hours of everything in it, at any depth."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any

from catalogue.models.kits import KitItem
from catalogue.models.parts import best_offer
from fitout.kit.money import round_money

ZERO = Decimal(0)
GRAM = Decimal("0.001")
MINUTE = Decimal("0.01")


@dataclass(frozen=True)
class KitTotals:
    """`without_cost` and `without_mass` name the parts whose figure is missing from the sum."""

    cost: Decimal = ZERO
    mass_kg: Decimal = ZERO
    hours: Decimal = ZERO
    labour_cost: Decimal = ZERO
    parts: int = 0
    without_cost: frozenset[str] = field(default_factory=frozenset)
    without_mass: frozenset[str] = field(default_factory=frozenset)

    def plus(self, other: KitTotals, quantity: Decimal) -> KitTotals:
        return KitTotals(
            cost=self.cost + other.cost * quantity,
            mass_kg=self.mass_kg + other.mass_kg * quantity,
            hours=self.hours + other.hours * quantity,
            labour_cost=self.labour_cost + other.labour_cost * quantity,
            parts=self.parts + other.parts,
            without_cost=self.without_cost | other.without_cost,
            without_mass=self.without_mass | other.without_mass,
        )

    def rounded(self) -> KitTotals:
        return replace(
            self,
            cost=round_money(self.cost),
            mass_kg=self.mass_kg.quantize(GRAM),
            hours=self.hours.quantize(MINUTE),
            labour_cost=round_money(self.labour_cost),
        )


NOTHING = KitTotals()


def kit_totals() -> dict[int, KitTotals]:
    """Totals of every kit by its id, in one query: a catalogue holds few kits."""
    rows: dict[int, list[dict[str, Any]]] = {}
    for row in _rows():
        rows.setdefault(row["kit_id"], []).append(row)
    done: dict[int, KitTotals] = {}
    for kit_id in rows:
        _total(kit_id, rows, done)
    return {kit_id: total.rounded() for kit_id, total in done.items()}


def _rows() -> Iterable[Any]:
    return KitItem.objects.order_by().values(
        "kit_id",
        "child_id",
        "quantity",
        "part__code",
        "part__mass_kg",
        "operation__standard_h",
        "operation__trade__cost_per_h",
        part_cost=best_offer("cost", part="part_id"),
    )


def _total(
    kit_id: int, rows: dict[int, list[dict[str, Any]]], done: dict[int, KitTotals]
) -> KitTotals:
    if kit_id not in done:
        total = NOTHING
        for row in rows.get(kit_id, []):
            one = _total(row["child_id"], rows, done) if row["child_id"] else _of_item(row)
            total = total.plus(one, row["quantity"])
        done[kit_id] = total
    return done[kit_id]


def _of_item(row: dict[str, Any]) -> KitTotals:
    if row["operation__standard_h"] is not None:
        hours = row["operation__standard_h"]
        return KitTotals(hours=hours, labour_cost=hours * row["operation__trade__cost_per_h"])
    cost, mass_kg, code = row["part_cost"], row["part__mass_kg"], {row["part__code"]}
    return KitTotals(
        cost=cost or ZERO,
        mass_kg=mass_kg or ZERO,
        parts=1,
        without_cost=frozenset(code if cost is None else ()),
        without_mass=frozenset(code if mass_kg is None else ()),
    )
