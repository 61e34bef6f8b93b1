from __future__ import annotations

from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from electrical.models import HomePort
from electrical.year.ports import MONTHS, months_of
from fitout.kit.forms import Form, ModelForm, NumberField, WholeNumberField


class PortYearForm(Form):
    """Latitude, and mean sun and air of each month."""

    version = forms.IntegerField(required=False, widget=forms.HiddenInput)
    latitude_deg = NumberField(
        label="Latitude",
        min_value=-66,
        max_value=66,
        decimal_places=2,
        unit="°",
        required=False,
        help_text="North positive, south negative.",
    )
    source = forms.CharField(label="Where the figures are from", max_length=120, required=False)

    def __init__(self, port: HomePort | None, data: Any = None) -> None:
        names = ("version", "latitude_deg", "source")
        super().__init__(data, initial={n: getattr(port, n) for n in names} if port else {})
        stored = months_of(port)
        for month, name in enumerate(MONTHS, start=1):
            sun, air = stored.get(month, (None, None))
            self.fields[f"sun_{month}"] = NumberField(
                label=f"Sun in {name}",
                min_value=0,
                max_value=12,
                decimal_places=2,
                unit="kWh/m²",
                required=False,
                initial=sun,
            )
            self.fields[f"air_{month}"] = NumberField(
                label=f"Air in {name}",
                min_value=-40,
                max_value=45,
                decimal_places=1,
                unit="°C",
                required=False,
                initial=air,
            )

    @property
    def own_fields(self) -> list[BoundField]:
        return [self["latitude_deg"], self["source"]]

    @property
    def rows(self) -> list[tuple[str, BoundField, BoundField]]:
        return [
            (name, self[f"sun_{month}"], self[f"air_{month}"])
            for month, name in enumerate(MONTHS, start=1)
        ]

    def overtake(self, stored: HomePort | None) -> None:
        """Somebody saved meanwhile: what was typed stays, and the next save goes through."""
        who = (stored.changed_by if stored else None) or "Somebody else"
        self.add_error(
            None,
            f"{who} changed sun and cold while you were typing. What you typed is kept; save "
            "again to put it in place of theirs.",
        )
        given: Any = self.data
        typed = given.copy()
        typed["version"] = str(stored.version) if stored else ""
        self.data = typed

    def values(self) -> dict[str, Any]:
        cleaned = self.cleaned_data
        return {
            "latitude_deg": cleaned["latitude_deg"],
            "source": cleaned["source"],
            "months": {m: (cleaned[f"sun_{m}"], cleaned[f"air_{m}"]) for m in range(1, 13)},
        }


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
    lowest_c = WholeNumberField(
        label="Lowest temperature",
        min_value=-40,
        max_value=24,
        unit="°C",
        required=False,
        help_text="On record; solar panels give most volts in the cold.",
    )

    class Meta:
        model = HomePort
        fields = ["irradiation_kwh_m2_day", "lowest_c", "source"]
        labels = {"source": "Where the figures are from"}

    def values(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in self.Meta.fields}
