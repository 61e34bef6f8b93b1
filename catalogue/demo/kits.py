from __future__ import annotations

from collections import Counter
from decimal import Decimal
from typing import Any

from catalogue.demo.tables import by_code, checked, missing, rows_of, values_for
from catalogue.models import Kit, KitItem, LabourOperation, Part
from fitout.kit.models import User


def load(by: User) -> None:
    new = missing(Kit, rows_of("kits"))
    Kit.objects.bulk_create(checked(Kit(**values_for(Kit, row), changed_by=by)) for row in new)
    codes = {row["code"] for row in new}
    kits = by_code(Kit)
    held: dict[str, dict[str, Any]] = {
        "part": by_code(Part),
        "operation": by_code(LabourOperation),
        "kit": kits,
    }
    places: Counter[str] = Counter()
    items = []
    for row in rows_of("kit_items"):
        if row["kit"] in codes:
            places[row["kit"]] += 1
            column = "child" if row["holds"] == "kit" else row["holds"]
            item = KitItem(
                kit=kits[row["kit"]],
                quantity=Decimal(row["quantity"]),
                position=places[row["kit"]],
            )
            setattr(item, column, held[row["holds"]][row["code"]])
            items.append(item)
    KitItem.objects.bulk_create(items)
