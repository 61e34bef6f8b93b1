from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from fitout.jobs.hullplan.templates import TEMPLATES, choices
from fitout.jobs.models import Customer, Job, Stage, Vessel
from fitout.kit.forms import DateInput, Form, ModelForm, NumberField
from fitout.kit.models import User

LEAST_ABOVE_SHEER_M = Decimal("0.2")


class DimensionFields(Form):
    length_m = NumberField(label="Length", min_value=2, max_value=30, unit="m")
    beam_m = NumberField(label="Beam", min_value=1, max_value=10, unit="m")
    depth_m = NumberField(
        label="Depth of hull",
        min_value="0.3",
        max_value=6,
        unit="m",
        help_text="Keel to sheer; for a van, floor to window.",
    )
    height_m = NumberField(
        label="Height over all",
        min_value="0.5",
        max_value=8,
        unit="m",
        help_text="From the keel, or the floor of a van, to the top.",
    )
    draught_m = NumberField(
        label="Draught",
        min_value=0,
        max_value=4,
        unit="m",
        required=False,
        help_text="Leave empty for what stands on wheels.",
    )
    light_mass_kg = NumberField(
        label="Mass as delivered",
        min_value=1,
        max_value=100_000,
        decimal_places=1,
        unit="kg",
        required=False,
    )
    light_x_m = NumberField(
        label="Centre of that mass",
        min_value=0,
        max_value=30,
        unit="m",
        required=False,
        help_text="From the transom, or the back.",
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        depth, height = cleaned.get("depth_m"), cleaned.get("height_m")
        if depth is not None and height is not None and height < depth:
            self.add_error(
                "height_m", f"Height over all: at least the depth of the hull, {depth:f} m."
            )
        length, centre = cleaned.get("length_m"), cleaned.get("light_x_m")
        if length is not None and centre is not None and centre > length:
            self.add_error("light_x_m", f"Centre of that mass: at most the length, {length:f} m.")
        return cleaned


class NewJobForm(DimensionFields):
    customer = forms.ModelChoiceField(
        Customer.objects.all(), required=False, empty_label="A new customer, named below"
    )
    new_customer = forms.CharField(
        label="New customer", max_length=120, required=False, help_text="Name, if not in the list."
    )
    vessel_name = forms.CharField(label="Vessel", max_length=80)
    template = forms.ChoiceField(
        label="Kind of vessel",
        choices=choices,
        help_text="Zones and cableways are made from this and the dimensions.",
    )
    description = forms.CharField(max_length=200, required=False)
    material = forms.CharField(max_length=40, required=False)
    identification = forms.CharField(label="Hull or chassis number", max_length=40, required=False)
    home_port = forms.CharField(max_length=80, required=False)
    title = forms.CharField(label="What is to be done", max_length=120, initial="Fit-out")
    asked_for = forms.DateField(label="Date asked for", required=False, widget=DateInput)

    field_order = [
        "customer",
        "new_customer",
        "vessel_name",
        "template",
        "length_m",
        "beam_m",
        "depth_m",
        "height_m",
        "draught_m",
        "light_mass_kg",
        "light_x_m",
        "description",
        "material",
        "identification",
        "home_port",
        "title",
        "asked_for",
    ]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        depth, height = cleaned.get("depth_m"), cleaned.get("height_m")
        if depth is not None and height is not None and 0 <= height - depth < LEAST_ABOVE_SHEER_M:
            self.add_error(
                "height_m",
                f"Height over all: {depth + LEAST_ABOVE_SHEER_M:f} m at least, "
                f"so that there are zones above the depth of {depth:f} m.",
            )
        named = bool((cleaned.get("new_customer") or "").strip())
        if self.errors.keys() & {"customer", "new_customer"}:
            return cleaned
        if cleaned.get("customer") and named:
            self.add_error("new_customer", "New customer: leave empty, a customer is chosen above.")
        elif not cleaned.get("customer") and not named:
            self.add_error("new_customer", "New customer: choose a customer or name a new one.")
        return cleaned

    def vessel_values(self) -> dict[str, Any]:
        cleaned = self.cleaned_data
        template = TEMPLATES[cleaned["template"]]
        names = (
            "length_m",
            "beam_m",
            "depth_m",
            "height_m",
            "light_mass_kg",
            "light_x_m",
            "description",
            "material",
            "identification",
            "home_port",
        )
        return {
            "name": cleaned["vessel_name"],
            "kind": template.kind,
            "template": template.slug,
            "draught_m": cleaned["draught_m"] or 0,
            **{name: cleaned[name] for name in names},
        }


class JobForm(ModelForm):
    autonomy_asked_days = NumberField(
        label="Days of autonomy asked for",
        min_value="0.1",
        max_value=60,
        decimal_places=1,
        unit="days",
    )

    class Meta:
        model = Job
        fields = [
            "title",
            "customer",
            "lead",
            "asked_for",
            "promised_for",
            "autonomy_asked_days",
            "rule_set",
            "notes",
        ]
        widgets = {"asked_for": DateInput, "promised_for": DateInput}
        labels = {
            "title": "What is to be done",
            "lead": "Lead technician",
            "asked_for": "Date asked for",
            "promised_for": "Promised date",
            "rule_set": "Rules for the wiring",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        lead: Any = self.fields["lead"]
        lead.queryset = User.objects.technicians()
        lead.empty_label = "Nobody yet"


class VesselForm(ModelForm, DimensionFields):
    class Meta:
        model = Vessel
        fields = [
            "name",
            "description",
            "material",
            "identification",
            "home_port",
            "length_m",
            "beam_m",
            "depth_m",
            "height_m",
            "draught_m",
            "light_mass_kg",
            "light_x_m",
        ]
        labels = {"identification": "Hull or chassis number", "name": "Vessel"}

    def clean_draught_m(self) -> Any:
        return self.cleaned_data["draught_m"] or 0


class StageForm(Form):
    stage = forms.ChoiceField(label="Stage", choices=Stage.choices)
