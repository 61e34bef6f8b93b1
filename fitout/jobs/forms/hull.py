from __future__ import annotations

import re
from typing import Any

from django import forms

from fitout.jobs.models import CablewayNode, CablewaySegment, Vessel, Zone
from fitout.kit.forms import ModelForm, NumberField

CODE = re.compile(r"^[A-Z0-9]+$")


def metres_field(label: str, **options: Any) -> NumberField:
    return NumberField(
        label=label, min_value=-30, max_value=60, decimal_places=3, unit="m", **options
    )


class CodedForm(ModelForm):
    """A row of a vessel with a code that is used once."""

    def __init__(self, vessel: Vessel, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.instance.vessel = vessel
        self.vessel = vessel

    def clean_code(self) -> str:
        code: str = self.cleaned_data["code"].strip().upper()
        if not CODE.match(code):
            raise forms.ValidationError("Code: letters and figures only, such as FD or N12.")
        others = type(self.instance)._meta.base_manager.filter(vessel=self.vessel, code=code)
        taken = others.exclude(pk=self.instance.pk).first()
        if taken is not None:
            raise forms.ValidationError(f"Code: {code} is taken by {taken}.")
        return code


class ZoneForm(CodedForm):
    x_min_m = metres_field("From x", help_text="Forward from the transom or the back.")
    x_max_m = metres_field("To x")
    y_min_m = metres_field("From y", help_text="Starboard side; negative to starboard.")
    y_max_m = metres_field("To y", help_text="Port side.")
    z_min_m = metres_field("From z", help_text="Up from the keel or the floor.")
    z_max_m = metres_field("To z")
    position = NumberField(label="Order on the sheet", min_value=0, max_value=999, decimal_places=0)

    class Meta:
        model = Zone
        fields = [
            "code",
            "name",
            "x_min_m",
            "x_max_m",
            "y_min_m",
            "y_max_m",
            "z_min_m",
            "z_max_m",
            "environment",
            "petrol_vapour",
            "hot",
            "ventilated",
            "position",
        ]
        labels = {
            "petrol_vapour": "Petrol vapour can collect here",
            "hot": "Hotter than 30 °C in use",
            "ventilated": "Ventilated to outside",
        }

    def clean_position(self) -> int:
        return int(self.cleaned_data["position"])


class NodeForm(CodedForm):
    x_m = metres_field("Place x", help_text="Forward from the transom or the back.")
    y_m = metres_field("Place y", help_text="To port; negative to starboard.")
    z_m = metres_field("Place z", help_text="Up from the keel or the floor.")

    class Meta:
        model = CablewayNode
        fields = ["code", "zone", "x_m", "y_m", "z_m"]

    def __init__(self, vessel: Vessel, *args: Any, **kwargs: Any) -> None:
        super().__init__(vessel, *args, **kwargs)
        zone: Any = self.fields["zone"]
        zone.queryset = Zone.objects.filter(vessel=vessel)
        zone.empty_label = "No zone"


class SegmentForm(ModelForm):
    length_override_m = NumberField(
        label="Measured length",
        min_value="0.01",
        max_value=60,
        decimal_places=3,
        unit="m",
        required=False,
        help_text="Leave empty to take the straight distance between the nodes.",
    )

    class Meta:
        model = CablewaySegment
        fields = ["cableway", "start", "end", "length_override_m", "in_conduit"]
        labels = {
            "cableway": "Cableway",
            "start": "From node",
            "end": "To node",
            "in_conduit": "In conduit",
        }

    def __init__(self, vessel: Vessel, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.instance.vessel = vessel
        self.vessel = vessel
        for name in ("start", "end"):
            field: Any = self.fields[name]
            field.queryset = CablewayNode.objects.filter(vessel=vessel)

    def clean_cableway(self) -> str:
        code: str = self.cleaned_data["cableway"].strip().upper()
        if not CODE.match(code):
            raise forms.ValidationError("Cableway: letters and figures only, such as W1.")
        return code

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        start, end = cleaned.get("start"), cleaned.get("end")
        if start is None or end is None:
            return cleaned
        if start == end:
            self.add_error("end", "To node: another node than the one it starts from.")
            return cleaned
        pairs = CablewaySegment.objects.filter(vessel=self.vessel, start__in=(start, end))
        twin = pairs.filter(end__in=(start, end)).exclude(pk=self.instance.pk).first()
        if twin is not None:
            self.add_error("end", f"To node: {twin.cableway} joins {start} and {end} already.")
        return cleaned
