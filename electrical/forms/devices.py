from __future__ import annotations

from decimal import Decimal
from typing import Any

from catalogue.models import PartKind
from electrical.models import Device, OperatingState
from fitout.kit.forms import Form, ModelForm, NumberField, YesNoField

FIELD_BY_KIND = {
    PartKind.BATTERY: "held_down",
    PartKind.BOARD: "always_live",
    PartKind.BUSBAR: "is_negative",
}


class DeviceForm(ModelForm):
    """What a person knows of a device that neither the part nor the line tells."""

    held_down = YesNoField(
        label="Battery held down",
        untold="Not known yet",
        help_text="It moves no more than 25 mm when pulled with twice its weight.",
    )

    class Meta:
        model = Device
        fields = ["held_down", "always_live", "is_negative"]
        labels = {
            "always_live": "Fed ahead of the isolator: always live",
            "is_negative": "Negative busbar: no circuit starts from it",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        wanted = FIELD_BY_KIND.get(PartKind(self.instance.kind), "")
        for name in FIELD_BY_KIND.values():
            if name != wanted:
                del self.fields[name]

    def answers(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in self.fields if name != "version"}

    @property
    def has_questions(self) -> bool:
        return any(name != "version" for name in self.fields)


class DutyForm(Form):
    """Share of the time a device is on, by operating state, in per cent."""

    def __init__(self, own: dict[str, float], stored: dict[str, Decimal], data: Any = None) -> None:
        super().__init__(data)
        for state in OperatingState:
            self.fields[state.value] = NumberField(
                label=state.label,
                min_value=0,
                max_value=100,
                decimal_places=1,
                unit="%",
                required=False,
                initial=stored[state] * 100 if state in stored else None,
                help_text=f"The part's own: {own[state] * 100:g} %. Leave empty to take it.",
            )

    def duties(self) -> dict[str, Decimal | None]:
        return {
            state: None if value is None else (value / 100).quantize(Decimal("0.001"))
            for state, value in self.cleaned_data.items()
        }
