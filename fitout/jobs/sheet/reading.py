"""Read a job's build sheet: three queries, whatever its size."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from catalogue.models import SupplierPart
from fitout.jobs.models import Job, Line, Zone

from .values import ZERO, SheetLine

if TYPE_CHECKING:
    from fitout.jobs.models.lines import LineQuerySet

ONE = Decimal(1)


@dataclass(frozen=True)
class Above:
    """What a line takes from the lines it stands under."""

    code: str
    depth: int
    quantity: Decimal
    counts: bool
    top_id: int
    choice: str
    taken: bool
    condition_ids: frozenset[int]


def sheet_lines(job: Job, zone: Zone | None = None) -> list[SheetLine]:
    """Every line of the job, or of one zone of it, children below their parent."""
    asked = Line.objects.filter(job=job)
    if zone is not None:
        asked = asked.filter(zone=zone)
    reader = Reader(
        rows=list(asked.sheet_rows()),
        conditions=_conditions_of(asked),
        suppliers=_suppliers_of(asked),
    )
    return reader.lines()


def _conditions_of(asked: LineQuerySet) -> dict[int, dict[int, Decimal]]:
    """Line to its conditions with their multipliers."""
    found: dict[int, dict[int, Decimal]] = defaultdict(dict)
    through: Any = Line.conditions.through
    rows = through.objects.filter(line__in=asked.order_by().values("pk"))
    for line_id, condition_id, multiplier in rows.values_list(
        "line_id", "condition_id", "condition__multiplier"
    ):
        found[line_id][condition_id] = multiplier
    return found


def _suppliers_of(asked: LineQuerySet) -> dict[int, tuple[int, str]]:
    """Part to the supplier it would be bought from."""
    parts = asked.order_by().filter(part__isnull=False).values("part")
    offers = SupplierPart.objects.filter(part__in=parts).best_first()
    found: dict[int, tuple[int, str]] = {}
    rows = offers.values_list("part_id", "supplier_id", "supplier__name")
    for part_id, supplier_id, name in rows:
        found.setdefault(part_id, (supplier_id, name))
    return found


class Reader:
    def __init__(
        self,
        *,
        rows: list[dict[str, Any]],
        conditions: dict[int, dict[int, Decimal]],
        suppliers: dict[int, tuple[int, str]],
    ) -> None:
        self.conditions = conditions
        self.multipliers = {
            key: value for of_line in conditions.values() for key, value in of_line.items()
        }
        self.suppliers = suppliers
        self.below: dict[int | None, list[dict[str, Any]]] = defaultdict(list)
        for row in rows:
            self.below[row["parent_id"]].append(row)

    def lines(self) -> list[SheetLine]:
        found: list[SheetLine] = []
        for row in self.below[None]:
            self._take(row, None, found)
        return found

    def _take(self, row: dict[str, Any], above: Above | None, found: list[SheetLine]) -> None:
        here = self._place(row, above)
        found.append(self._line(row, here))
        for child in self.below.get(row["id"], ()):
            self._take(child, here, found)

    def _place(self, row: dict[str, Any], above: Above | None) -> Above:
        own = frozenset(self.conditions.get(row["id"], ()))
        if above is None:
            return Above(
                code=f"{row['zone__code']}-{row['position']:02d}",
                depth=0,
                quantity=row["quantity"],
                counts=row["choice"] == "included" or row["taken"],
                top_id=row["id"],
                choice=row["choice"],
                taken=row["taken"],
                condition_ids=own,
            )
        return Above(
            code=f"{above.code}.{row['position']}",
            depth=above.depth + 1,
            quantity=above.quantity * row["quantity"],
            counts=above.counts,
            top_id=above.top_id,
            choice=above.choice,
            taken=above.taken,
            condition_ids=above.condition_ids | own,
        )

    def _line(self, row: dict[str, Any], here: Above) -> SheetLine:
        supplier_id, supplier_name = row["supplier_id"], row["supplier__name"] or ""
        if supplier_id is None and row["part_id"] and row["kind"] == "part":
            supplier_id, supplier_name = self.suppliers.get(row["part_id"], (None, ""))
        return SheetLine(
            id=row["id"],
            version=row["version"],
            code=here.code,
            depth=here.depth,
            parent_id=row["parent_id"],
            top_id=here.top_id,
            zone_id=row["zone_id"],
            zone_code=row["zone__code"],
            kind=row["kind"],
            choice=here.choice,
            taken=here.taken,
            counts=here.counts,
            description=row["description"],
            quantity=row["quantity"],
            effective_quantity=here.quantity,
            unit=row["unit"],
            part_id=row["part_id"],
            part_code=row["part__code"] or row["kit__code"] or row["operation__code"] or "",
            part_kind=row["part__kind"] or "",
            part_category=row["part__category"] or "",
            kit_id=row["kit_id"],
            operation_id=row["operation_id"],
            phase=row["operation__phase"] or "",
            supplier_id=supplier_id,
            supplier_name=supplier_name,
            trade_id=row["trade_id"],
            trade_code=row["trade__code"] or "",
            trade_name=row["trade__name"] or "",
            trade_cost_per_h=row["trade__cost_per_h"] or ZERO,
            tax_group_id=row["tax_group_id"],
            unit_cost=row["unit_cost"],
            sell_override=row["sell_override"],
            override_reason=row["override_reason"],
            standard_h=row["standard_h"],
            condition_ids=here.condition_ids,
            multiplier=self._multiplier(here.condition_ids),
            unit_mass_kg=row["mass_kg"],
            x_m=row["x_m"],
            y_m=row["y_m"],
            z_m=row["z_m"],
            note=row["note"],
        )

    def _multiplier(self, condition_ids: frozenset[int]) -> Decimal:
        product = ONE
        for condition_id in condition_ids:
            product *= self.multipliers[condition_id]
        return product
