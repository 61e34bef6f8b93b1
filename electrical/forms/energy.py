from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError

from electrical.day_plans import DAY_H
from electrical.models import OperatingState
from fitout.kit.forms import Form, NumberField
from fitout.kit.money import quantity_text


class DayPlanForm(Form):
    """Hours of each operating state in a day; together 24."""

    def __init__(self, hours: dict[str, Decimal], data: Any = None) -> None:
        super().__init__(data)
        for state in OperatingState:
            self.fields[state.value] = NumberField(
                label=state.label,
                min_value=0,
                max_value=24,
                decimal_places=2,
                unit="h",
                initial=hours.get(state, Decimal(0)),
            )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if self.errors:
            return cleaned
        total = sum((cleaned[state] for state in OperatingState.values), Decimal(0))
        if total != DAY_H:
            raise ValidationError(
                f"The hours add up to {quantity_text(total, 2)} h; a day has 24 h."
            )
        return cleaned

    def hours(self) -> dict[str, Decimal]:
        return {state: self.cleaned_data[state] for state in OperatingState.values}
