"""Trades, labour operations, conditions and tax: four small tables with one page each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.db.models import Model

from catalogue.models import Condition, LabourOperation, TaxGroup, Trade
from fitout.kit.forms import TrackedForm
from fitout.kit.money import symbol_of


class LabourForm(TrackedForm):
    scope, action = "labour", "labour"
    can_undo_new = False


class OperationForm(LabourForm):
    class Meta:
        model = LabourOperation
        fields = (
            "code",
            "description",
            "trade",
            "phase",
            "standard_h",
            "per",
            "circuit_work",
            "active",
        )
        labels = {"code": "Our code", "active": "In use"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["description"].two_wide = True  # type: ignore[attr-defined]


class TradeForm(LabourForm):
    class Meta:
        model = Trade
        fields = ("name", "code", "sell_per_h", "cost_per_h", "position")
        labels = {"position": "Place in lists"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("sell_per_h", "cost_per_h"):
            self.fields[name].unit = symbol_of()  # type: ignore[attr-defined]


class ConditionForm(LabourForm):
    class Meta:
        model = Condition
        fields = ("name", "code", "multiplier")


class TaxGroupForm(LabourForm):
    class Meta:
        model = TaxGroup
        fields = ("name", "code", "category_code", "rate_pct")


@dataclass(frozen=True)
class LabourTable:
    model: type[Model]
    form: type[LabourForm]
    name: str
    plural: str


TABLES = {
    "operations": LabourTable(LabourOperation, OperationForm, "labour operation", "Operations"),
    "trades": LabourTable(Trade, TradeForm, "trade", "Trades"),
    "conditions": LabourTable(Condition, ConditionForm, "condition", "Conditions"),
    "tax": LabourTable(TaxGroup, TaxGroupForm, "tax group", "Tax"),
}
