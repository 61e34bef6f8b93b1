"""Put the rows of a demo table on a job's build sheet."""

from __future__ import annotations

from collections import defaultdict
from decimal import Decimal
from typing import Any

from catalogue.models import Condition, Kit, LabourOperation, Part, Supplier, Trade
from fitout.jobs import sheet
from fitout.jobs.models import Job, Line

from .rows import DemoRow, read_rows


class SheetLoader:
    """Looks everything up once; unknown codes fail loudly with the row they stand in."""

    def __init__(self, job: Job, by: Any) -> None:
        self.job = job
        self.by = by
        self.zones = {zone.code: zone for zone in job.vessel.zones.all()}
        self.parts = {part.code: part for part in Part.objects.all()}
        self.kits = {kit.code: kit for kit in Kit.objects.all()}
        self.operations = {one.code: one for one in LabourOperation.objects.all()}
        self.suppliers = {one.code: one for one in Supplier.objects.all()}
        self.conditions = {one.code: one for one in Condition.objects.all()}
        self.trades = {one.code: one for one in Trade.objects.all()}
        self.last: Line | None = None
        self.placed: dict[str, int] = defaultdict(int)

    def load(self, name: str) -> None:
        for row in read_rows(name):
            if row.kind == "place":
                self._place(row)
            else:
                self.last = getattr(self, f"_{row.kind}")(row)
                self.placed.clear()

    def _details(self, row: DemoRow) -> sheet.Details:
        return sheet.Details(
            quantity=row.quantity,
            choice=row.choice,
            standard_h=row.hours,
            conditions=tuple(self.conditions[code] for code in row.conditions),
            at=row.at,
            note=row.note,
        )

    def _part(self, row: DemoRow) -> Line:
        part = self.parts[row.item]
        zone = self.zones[row.zone]
        return sheet.add_part(self.job, zone, part, by=self.by, details=self._details(row))

    def _kit(self, row: DemoRow) -> Line:
        kit = self.kits[row.item]
        zone = self.zones[row.zone]
        return sheet.add_kit(self.job, zone, kit, by=self.by, details=self._details(row))

    def _labour(self, row: DemoRow) -> Line:
        operation = self.operations[row.item]
        zone = self.zones[row.zone]
        return sheet.add_labour(self.job, zone, operation, by=self.by, details=self._details(row))

    def _subcontract(self, row: DemoRow) -> Line:
        return sheet.add_subcontract(
            self.job,
            self.zones[row.zone],
            self.suppliers[row.item],
            description=row.description,
            unit_cost=row.amount or Decimal(0),
            by=self.by,
            details=self._details(row),
        )

    def _provisional(self, row: DemoRow) -> Line:
        return sheet.add_provisional(
            self.job,
            self.zones[row.zone],
            description=row.description,
            amount=row.amount or Decimal(0),
            by=self.by,
            trade=self.trades[row.item] if row.item else None,
            details=self._details(row),
        )

    def _customer(self, row: DemoRow) -> Line:
        return sheet.add_customer_supplied(
            self.job,
            self.zones[row.zone],
            description=row.description,
            part=self.parts.get(row.item),
            trade=None if row.item in self.parts else self.trades.get(row.item),
            by=self.by,
            details=self._details(row),
        )

    def _place(self, row: DemoRow) -> None:
        """Say where one device of the kit just added stands."""
        if self.last is None or row.at is None:
            raise ValueError(f"place row without a kit or a place: {row}")
        alike = [x for x in sheet.below(self.last) if x.part_id == self.parts[row.item].pk]
        if self.placed[row.item] >= len(alike):
            raise ValueError(f"{self.last} holds no (other) {row.item}")
        line = Line.objects.for_edit().get(pk=alike[self.placed[row.item]].pk)
        self.placed[row.item] += 1
        x_m, y_m, z_m = row.at
        sheet.edit(line, by=self.by, version=line.version, x_m=x_m, y_m=y_m, z_m=z_m)
