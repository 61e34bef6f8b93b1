from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from catalogue.models import Condition, Kit, LabourOperation, Part, Supplier, Trade, Unit
from fitout.jobs.models import Choice, Job, Line, LineKind, Zone
from fitout.jobs.sheet import Details
from fitout.kit.forms import Form, ModelForm, NumberField
from fitout.kit.money import NARROW, quantity_text, symbol_of

MOST = 10_000_000
UNIT_WORDS: dict[str, str] = dict(Unit.choices)
EX_VAT = f"{symbol_of()} ex VAT"


def quantity_field(**options: Any) -> NumberField:
    return NumberField(label="Quantity", min_value="0.01", max_value=100_000, **options)


def need_a_trade(form: forms.BaseForm, hours: Decimal | None, trade: Trade | None) -> None:
    """Hours are priced by the rate of a trade; without one they would be given away."""
    if hours and trade is None and "trade" in form.fields and "trade" not in form.errors:
        form.add_error(
            "trade",
            f"Trade: say who does the {quantity_text(hours, 2)}{NARROW}h, so that a rate prices them.",
        )


def place_field(axis: str, hint: str) -> NumberField:
    return NumberField(
        label=f"Place {axis}",
        min_value=-30,
        max_value=60,
        decimal_places=3,
        unit="m",
        required=False,
        help_text=hint,
    )


class LineForm(ModelForm):
    two_wide = ("description", "note")
    first_in_row = ("x_m",)

    quantity = quantity_field()
    unit_cost = NumberField(label="Cost each", min_value=0, max_value=MOST, unit=EX_VAT)
    sell_override = NumberField(
        label="Price each, set by hand",
        min_value=0,
        max_value=MOST,
        unit=EX_VAT,
        required=False,
        help_text="Leave empty to let it be computed.",
    )
    standard_h = NumberField(label="Standard time each", min_value=0, max_value=5000, unit="h")
    mass_kg = NumberField(
        label="Mass each",
        min_value=0,
        max_value=100_000,
        decimal_places=3,
        unit="kg",
        required=False,
    )
    x_m = place_field("x", "Forward from the transom or the back.")
    y_m = place_field("y", "To port; negative to starboard.")
    z_m = place_field("z", "Up from the keel or the floor.")

    class Meta:
        model = Line
        fields = [
            "quantity",
            "description",
            "choice",
            "taken",
            "unit_cost",
            "sell_override",
            "override_reason",
            "standard_h",
            "trade",
            "mass_kg",
            "note",
            "x_m",
            "y_m",
            "z_m",
            "conditions",
        ]
        labels = {"taken": "Option taken", "override_reason": "Reason for the price"}
        widgets = {"conditions": forms.CheckboxSelectMultiple}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in self._left_out():
            del self.fields[name]
        quantity: Any = self.fields["quantity"]
        quantity.unit = UNIT_WORDS.get(self.instance.unit, self.instance.unit)
        quantity.widget.attrs["data-focus"] = ""

    def _left_out(self) -> set[str]:
        line: Line = self.instance
        left_out: set[str] = set()
        if line.kind in (LineKind.PART, LineKind.KIT, LineKind.LABOUR, LineKind.CUSTOMER_SUPPLIED):
            left_out.add("unit_cost")
        if line.kind in (LineKind.PART, LineKind.KIT, LineKind.LABOUR):
            left_out.add("trade")
        if line.kind in (LineKind.KIT, LineKind.CUSTOMER_SUPPLIED):
            left_out |= {"sell_override", "override_reason"}
        if line.kind in (LineKind.PART, LineKind.KIT, LineKind.LABOUR):
            left_out.add("mass_kg")
        if line.kind == LineKind.KIT:
            left_out.add("standard_h")
        if line.parent_id is not None:
            left_out |= {"choice", "taken"}
        return left_out

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        need_a_trade(self, cleaned.get("standard_h"), cleaned.get("trade"))
        return cleaned

    def changes(self) -> dict[str, Any]:
        """What the person changed, fit for `sheet.edit`."""
        return {
            name: self.cleaned_data[name]
            for name in self.changed_data
            if name not in ("version", "conditions") and name in self.cleaned_data
        }

    @property
    def new_conditions(self) -> list[Condition] | None:
        return list(self.cleaned_data["conditions"]) if "conditions" in self.changed_data else None


class ZonedForm(Form):
    """A form whose zone is one of the job's vessel."""

    zone = forms.ModelChoiceField(Zone.objects.none(), empty_label=None)
    quantity = quantity_field(initial=1)
    choice = forms.ChoiceField(choices=Choice.choices, initial=Choice.INCLUDED, required=False)

    def __init__(self, job: Job, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        zone: Any = self.fields["zone"]
        zone.queryset = Zone.objects.filter(vessel_id=job.vessel_id)

    def details(self) -> Details:
        cleaned = self.cleaned_data
        return Details(
            quantity=cleaned["quantity"],
            choice=cleaned.get("choice") or Choice.INCLUDED,
            standard_h=cleaned.get("standard_h"),
            note=cleaned.get("note") or "",
        )


class AddPartForm(ZonedForm):
    item = forms.ModelChoiceField(
        Part.objects.filter(active=True), label="Part", widget=forms.HiddenInput
    )


class AddKitForm(ZonedForm):
    item = forms.ModelChoiceField(
        Kit.objects.filter(active=True), label="Kit", widget=forms.HiddenInput
    )


class AddLabourForm(ZonedForm):
    item = forms.ModelChoiceField(
        LabourOperation.objects.filter(active=True), label="Operation", widget=forms.HiddenInput
    )


class WrittenForm(ZonedForm):
    """A line that is written rather than picked from the catalogue."""

    description = forms.CharField(max_length=200)
    trade = forms.ModelChoiceField(
        Trade.objects.all(), required=False, empty_label="None in particular"
    )
    standard_h = NumberField(
        label="Our own time each", min_value=0, max_value=5000, unit="h", required=False
    )
    note = forms.CharField(max_length=400, required=False)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        need_a_trade(self, cleaned.get("standard_h"), self.trade_of(cleaned))
        return cleaned

    def trade_of(self, cleaned: dict[str, Any]) -> Trade | None:
        trade: Trade | None = cleaned.get("trade")
        return trade


class AddSubcontractForm(WrittenForm):
    supplier = forms.ModelChoiceField(
        Supplier.objects.subcontractors(),
        label="Subcontractor",
        empty_label="Choose one",
    )
    unit_cost = NumberField(label="Cost each", min_value=0, max_value=MOST, unit=EX_VAT)
    field_order = ["zone", "supplier", "description", "quantity", "unit_cost", "choice"]


class AddProvisionalForm(WrittenForm):
    amount = NumberField(label="Sum set aside", min_value=0, max_value=MOST, unit=EX_VAT)
    field_order = ["zone", "description", "quantity", "amount", "choice"]


class AddSuppliedForm(WrittenForm):
    part_code = forms.CharField(
        label="Part code",
        max_length=40,
        required=False,
        help_text="If the part is in our list, it can be wired, weighed and tested.",
    )
    mass_kg = NumberField(
        label="Mass each",
        min_value=0,
        max_value=100_000,
        decimal_places=3,
        unit="kg",
        required=False,
    )
    field_order = ["zone", "description", "part_code", "quantity", "mass_kg", "choice"]

    def trade_of(self, cleaned: dict[str, Any]) -> Trade | None:
        """Of its part, where none is chosen."""
        part: Part | None = cleaned.get("part_code")
        return super().trade_of(cleaned) or (part.trade if part else None)

    def clean_part_code(self) -> Part | None:
        code = self.cleaned_data["part_code"].strip()
        if not code:
            return None
        part = Part.objects.filter(code__iexact=code).select_related("trade", "tax_group").first()
        if part is None:
            raise forms.ValidationError(f"Part code: there is no part {code}.")
        return part


class MoveForm(Form):
    """Up or down among its neighbours, or to another zone."""

    to = forms.ChoiceField(
        choices=[("up", "Up"), ("down", "Down"), ("zone", "To zone")], label="Move"
    )
    zone = forms.ModelChoiceField(Zone.objects.none(), required=False, empty_label="Choose one")

    def __init__(self, job: Job, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        zone: Any = self.fields["zone"]
        zone.queryset = Zone.objects.filter(vessel_id=job.vessel_id)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if cleaned.get("to") == "zone" and not cleaned.get("zone") and "zone" not in self.errors:
            self.add_error("zone", "Zone: choose the zone to move to.")
        return cleaned


class CopyForm(Form):
    """One field per zone of the source: the zone its lines go to, or none."""

    def __init__(self, job: Job, source: Job, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.job = job
        self.pairs: list[tuple[Zone, str]] = []
        targets = list(job.vessel.zones.all())
        by_code = {zone.code: zone for zone in targets}
        options = [("", "Leave out"), *((str(z.pk), str(z)) for z in targets)]
        self.targets = {str(zone.pk): zone for zone in targets}
        for zone in source.vessel.zones.all():
            name = f"zone_{zone.pk}"
            alike = by_code.get(zone.code)
            self.fields[name] = forms.ChoiceField(
                label=f"{zone.code} {zone.name}",
                choices=options,
                required=False,
                initial=str(alike.pk) if alike else "",
            )
            self.pairs.append((zone, name))

    def zones(self) -> dict[int, Zone]:
        return {
            zone.pk: self.targets[self.cleaned_data[name]]
            for zone, name in self.pairs
            if self.cleaned_data.get(name)
        }
