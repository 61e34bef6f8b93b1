from __future__ import annotations

from collections import defaultdict

from catalogue.demo.curves import curve_for
from catalogue.demo.tables import Row, by_code, checked, missing, part_rows, values_for
from catalogue.models import (
    DATA_BY_KIND,
    ElectricalData,
    LabourOperation,
    LoadData,
    Part,
    ProtectiveDeviceData,
    TaxGroup,
    Trade,
)
from fitout.kit.models import User


def load(by: User) -> list[Part]:
    """The parts that were not there yet, each with its electrical record."""
    rows = missing(Part, part_rows())
    trades, operations, taxes = by_code(Trade), by_code(LabourOperation), by_code(TaxGroup)
    parts = Part.objects.bulk_create(
        checked(
            Part(
                **values_for(Part, row),
                trade=trades[row["trade"]],
                usual_operation=operations.get(row["usual_operation"]),
                tax_group=taxes[row["tax_group"]],
                changed_by=by,
            )
        )
        for row in rows
    )
    records: dict[type[ElectricalData], list[ElectricalData]] = defaultdict(list)
    for part, row in zip(parts, rows, strict=True):
        for record in _records(part, row):
            records[type(record)].append(checked(record))
    for model, made in records.items():
        model._default_manager.bulk_create(made)
    return parts


def _records(part: Part, row: Row) -> list[ElectricalData]:
    made: list[ElectricalData] = []
    if part.kind in DATA_BY_KIND:
        model = DATA_BY_KIND[part.kind]
        told = curve_for(row["device"]) if model is ProtectiveDeviceData else {}
        made.append(model(part=part, **values_for(model, row), **told))
    load_values = values_for(LoadData, row, prefix="load.")
    if load_values:
        made.append(LoadData(part=part, **load_values))
    return made
