from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError

from catalogue.models import PartKind
from electrical.facts import is_parallel_switch
from electrical.models import Device, OperatingState
from fitout.kit.forms import Form, ModelForm, NumberField, WholeNumberField, YesNoField

FIELDS_BY_KIND = {
    PartKind.BATTERY: ("held_down",),
    PartKind.BOARD: ("always_live",),
    PartKind.BUSBAR: ("is_negative",),
    PartKind.SOLAR_PANEL: ("tilt_deg", "facing_deg", "in_series_with"),
    PartKind.SWITCH: ("link_is_limited",),
}


class DeviceForm(ModelForm):
    """What a person knows of a device that neither the part nor the line tells."""

    held_down = YesNoField(
        label="Battery held down",
        untold="Not known yet",
        help_text="It moves no more than 25 mm when pulled with twice its weight.",
    )

    tilt_deg = WholeNumberField(
        label="Slope",
        min_value=0,
        max_value=90,
        unit="°",
        required=False,
        help_text="0 lies flat, 90 stands upright. Empty is taken as flat.",
    )
    facing_deg = WholeNumberField(
        label="Faces",
        min_value=0,
        max_value=359,
        unit="°",
        required=False,
        help_text="From north over east: 180 is south. Empty where the vessel swings through "
        "all headings.",
    )
    link_is_limited = YesNoField(
        label="Current limiter between the batteries",
        untold="Not known yet",
        help_text="It keeps the current small that flows from a full battery to an empty one. "
        "Lithium is never joined to lead-acid without one.",
    )

    class Meta:
        model = Device
        fields = [name for names in FIELDS_BY_KIND.values() for name in names]
        labels = {
            "always_live": "Fed ahead of the isolator: always live",
            "is_negative": "Negative busbar: no circuit starts from it",
            "in_series_with": "In series with",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        wanted = self._wanted()
        for name in [name for names in FIELDS_BY_KIND.values() for name in names]:
            if name not in wanted:
                del self.fields[name]
        if "in_series_with" in self.fields:
            string: Any = self.fields["in_series_with"]
            string.queryset = self._heads()
            string.empty_label = "None: it has a lead of its own"
            string.help_text = "The alike panel whose lead takes the string to the regulator."

    def _heads(self) -> Any:
        """Panels of the same part that are in no other's string."""
        panel = self.instance
        alike = Device.objects.filter(job_id=panel.job_id, line__part_id=panel.line.part_id)
        return alike.filter(in_series_with=None).exclude(pk=panel.pk)

    def clean_in_series_with(self) -> Device | None:
        head: Device | None = self.cleaned_data["in_series_with"]
        if head is None:
            return None
        strung = self.instance.strung.first()
        if strung is not None:
            raise ValidationError(
                f"In series with: {strung.label} shares the lead of this panel; tell it of "
                f"{head.label} first."
            )
        lead = self.instance.circuits_from.first()
        if lead is not None:
            raise ValidationError(
                f"In series with: {self.instance.label} has a lead of its own, {lead.label}; "
                "remove that circuit first."
            )
        return head

    def _wanted(self) -> tuple[str, ...]:
        """Of switches, only those that join two batteries in an emergency are asked about."""
        if self.instance.kind == PartKind.SWITCH and not is_parallel_switch(self.instance):
            return ()
        return FIELDS_BY_KIND.get(PartKind(self.instance.kind), ())

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
