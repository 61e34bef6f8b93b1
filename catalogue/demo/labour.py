from __future__ import annotations

from catalogue.demo.tables import by_code, checked, missing, rows_of, values_for
from catalogue.models import Condition, LabourOperation, TaxGroup, Trade
from fitout.kit.models import User


def load(by: User) -> None:
    for model, table in ((TaxGroup, "tax_groups"), (Trade, "trades"), (Condition, "conditions")):
        for row in missing(model, rows_of(table)):
            checked(model(**values_for(model, row), changed_by=by)).save()
    trades = by_code(Trade)
    LabourOperation.objects.bulk_create(
        checked(
            LabourOperation(
                **values_for(LabourOperation, row), trade=trades[row["trade"]], changed_by=by
            )
        )
        for row in missing(LabourOperation, rows_of("operations"))
    )
