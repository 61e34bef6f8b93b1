from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError

from electrical.day_plans import DAY_H
from electrical.models import HomePort, OperatingState
from fitout.kit.forms import Form, ModelForm, NumberField
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


class HomePortForm(ModelForm):
    irradiation_kwh_m2_day = NumberField(
        label="Sun in a day",
        min_value="0.10",
        max_value=12,
        decimal_places=2,
        unit="kWh/m²",
        required=False,
        help_text="Mean daily irradiation on the flat in the month that matters.",
    )
    lowest_c = NumberField(
        label="Lowest temperature",
        min_value=-40,
        max_value=24,
        decimal_places=0,
        unit="°C",
        required=False,
        help_text="On record; solar panels give most volts in the cold.",
    )

    class Meta:
        model = HomePort
        fields = ["irradiation_kwh_m2_day", "lowest_c", "source"]
        labels = {"source": "Where the figures are from"}

    def clean_lowest_c(self) -> int | None:
        value = self.cleaned_data["lowest_c"]
        return None if value is None else int(value)

    def values(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in self.Meta.fields}
