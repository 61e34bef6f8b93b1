"""The build sheet as plain values, with everything that follows from the lines."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line. `*_total` figures are for the effective quantity of this line alone.

    The effective quantity is the line's own times that of every line above it. A line
    counts when the top line it stands under is included, or is an option that is taken.
    """

    id: int
    version: int
    code: str
    depth: int
    parent_id: int | None
    top_id: int
    zone_id: int
    zone_code: str
    kind: str
    choice: str
    taken: bool
    counts: bool
    description: str
    quantity: Decimal
    effective_quantity: Decimal
    unit: str
    part_id: int | None
    part_code: str
    part_kind: str
    part_category: str
    kit_id: int | None
    operation_id: int | None
    phase: str
    supplier_id: int | None
    supplier_name: str
    trade_id: int | None
    trade_code: str
    trade_name: str
    trade_cost_per_h: Decimal
    tax_group_id: int
    unit_cost: Decimal
    sell_override: Decimal | None
    override_reason: str
    standard_h: Decimal
    condition_ids: frozenset[int]
    multiplier: Decimal
    unit_mass_kg: Decimal | None
    x_m: Decimal | None
    y_m: Decimal | None
    z_m: Decimal | None
    note: str

    @property
    def material_cost_total(self) -> Decimal:
        return self.unit_cost * self.effective_quantity

    @property
    def labour_h_total(self) -> Decimal:
        """Standard time times conditions, for the effective quantity."""
        return self.standard_h * self.multiplier * self.effective_quantity

    @property
    def labour_cost_total(self) -> Decimal:
        return self.labour_h_total * self.trade_cost_per_h

    @property
    def cost_total(self) -> Decimal:
        return self.material_cost_total + self.labour_cost_total

    @property
    def mass_kg_total(self) -> Decimal:
        return (self.unit_mass_kg or ZERO) * self.effective_quantity

    @property
    def mass_is_unknown(self) -> bool:
        return self.unit_mass_kg is None and self.part_id is not None

    @property
    def is_placed(self) -> bool:
        return self.x_m is not None and self.y_m is not None and self.z_m is not None

    @property
    def is_option(self) -> bool:
        return self.choice == "option"

    @property
    def is_settled(self) -> bool:
        return self.counts and self.kind != "provisional"


@dataclass(slots=True)
class Sums:
    """Figures added up; `price` stays None while nobody prices lines."""

    cost: Decimal = ZERO
    material: Decimal = ZERO
    labour_h: Decimal = ZERO
    mass_kg: Decimal = ZERO
    price: Decimal | None = None
    lines: int = 0

    def add(self, line: SheetLine, price: Decimal | None) -> None:
        self.cost += line.cost_total
        self.material += line.material_cost_total
        self.labour_h += line.labour_h_total
        self.mass_kg += line.mass_kg_total
        if price is not None:
            self.price = (self.price or ZERO) + price
        if line.parent_id is None:
            self.lines += 1

    @property
    def exists(self) -> bool:
        return self.lines > 0
