from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q

from catalogue.models import BatteryData, Part, PartKind
from electrical.adapters.numbers import system_v
from electrical.circuits import next_number
from electrical.facts import POINT_KINDS, is_parallel_switch, record_of
from electrical.models import Circuit, CircuitRole, Device
from electrical.models.circuits import MOST_IN_PARALLEL
from fitout.jobs.models import Job
from fitout.kit.forms import ModelForm, NumberField, WholeNumberField


class DeviceChoices(forms.ModelMultipleChoiceField):  # type: ignore[type-arg]
    def label_from_instance(self, obj: Any) -> str:
        return f"{obj.label} {obj.name} ({obj.zone.code})"


class DeviceChoice(forms.ModelChoiceField):  # type: ignore[type-arg]
    def label_from_instance(self, obj: Any) -> str:
        return f"{obj.label} {obj.name} ({obj.zone.code})"


class CircuitForm(ModelForm):
    number = WholeNumberField(label="Number", min_value=1, max_value=9999)
    origin = DeviceChoice(
        queryset=Device.objects.none(),
        label="From",
        help_text="The board, busbar, battery or converter it starts at.",
    )
    board_position = WholeNumberField(
        label="Way on the board", min_value=1, max_value=200, required=False
    )
    devices = DeviceChoices(
        queryset=Device.objects.none(),
        label="Feeds",
        help_text="Devices on this circuit, an isolator in the run included.",
        widget=forms.SelectMultiple(attrs={"size": "8"}),
    )
    nominal_v = NumberField(label="Voltage", min_value=6, max_value=60, decimal_places=1, unit="V")
    in_parallel = WholeNumberField(
        label="Conductors in parallel",
        min_value=1,
        max_value=MOST_IN_PARALLEL,
        help_text="Alike and of one length, in each pole.",
    )
    protection_distance_m = NumberField(
        label="Protective device from the source",
        min_value=0,
        max_value=10,
        decimal_places=3,
        unit="m",
        help_text="Conductor length between the source and the device.",
    )
    length_override_m = NumberField(
        label="Measured length",
        min_value="0.05",
        max_value=100,
        decimal_places=3,
        unit="m",
        required=False,
        help_text="One way. Leave empty to take it from the hull plan.",
    )
    drop_limit_pct = NumberField(
        label="Own drop limit",
        min_value="0.5",
        max_value=10,
        decimal_places=1,
        unit="%",
        required=False,
        help_text="Leave empty to take the rule's.",
    )

    class Meta:
        model = Circuit
        fields = [
            "name",
            "number",
            "role",
            "origin",
            "board_position",
            "nominal_v",
            "cable",
            "in_parallel",
            "cable_set_by_hand",
            "protection",
            "end_protection",
            "protection_set_by_hand",
            "protection_distance_m",
            "length_override_m",
            "drop_limit_pct",
            "always_live",
            "note",
        ]
        labels = {
            "name": "Function",
            "role": "Kind of circuit",
            "protection": "Protective device",
            "end_protection": "Protective device at the far end",
            "cable_set_by_hand": "Keep this cable when wiring up",
            "protection_set_by_hand": "Keep this protection when wiring up",
            "always_live": "Ahead of the isolator: stays live",
        }

    field_order = ["name", "number", "role", "origin", "board_position", "devices", "nominal_v"]

    def __init__(self, job: Job, *args: Any, **kwargs: Any) -> None:
        self.job = job
        super().__init__(*args, **kwargs)
        devices = Device.objects.filter(job=job).select_related(
            "zone", "line__part__switchdata", "line__part__batterydata"
        )
        fields: Any = self.fields
        fields["origin"].queryset = devices.filter(kind__in=POINT_KINDS)
        fields["devices"].queryset = devices
        fields["devices"].long = True
        for name in ("name", "origin", "cable", "protection", "end_protection", "note"):
            fields[name].two_wide = True
        fields["cable"].queryset = in_use(PartKind.CABLE, self.instance.cable_id)
        kind = PartKind.PROTECTIVE_DEVICE
        fields["protection"].queryset = in_use(kind, self.instance.protection_id)
        fields["end_protection"].queryset = in_use(kind, self.instance.end_protection_id)
        for name, word in (
            ("cable", "Not chosen yet"),
            ("protection", "None"),
            ("end_protection", "None"),
        ):
            fields[name].empty_label = word
        if self.instance.pk:
            members = self.instance.members.order_by("position")
            fields["devices"].initial = [member.device_id for member in members]
        else:
            fields["number"].initial = next_number(job)
            fields["role"].initial = CircuitRole.LOAD
            fields["in_parallel"].initial = self.instance.in_parallel
            fields["protection_distance_m"].initial = self.instance.protection_distance_m

    def clean_number(self) -> int:
        number: int = self.cleaned_data["number"]
        others = Circuit.objects.filter(job=self.job, number=number).exclude(pk=self.instance.pk)
        if others.exists():
            raise ValidationError(f"Number: {number} is another circuit's already.")
        return number

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        origin, devices = cleaned.get("origin"), list(cleaned.get("devices") or ())
        if origin is not None and origin in devices:
            self.add_error("devices", f"Feeds: {origin.label} is where the circuit starts.")
        if cleaned.get("role") == CircuitRole.LINK:
            self._check_lead(origin, devices)
        elif devices and all(device.kind == PartKind.SWITCH for device in devices):
            self.add_error("devices", "Feeds: choose at least one device besides the isolator.")
        return cleaned

    def _check_lead(self, origin: Device | None, devices: list[Device]) -> None:
        """From a battery to an emergency switch, one lead from each of two of one voltage."""
        switches = [device for device in devices if is_parallel_switch(device)]
        if origin is not None and origin.kind != PartKind.BATTERY:
            self.add_error("origin", "From: a lead to an emergency switch starts at a battery.")
        if len(switches) != 1:
            self.add_error("devices", "Feeds: one emergency parallel switch ends this lead.")
            return
        others = Circuit.objects.filter(
            job=self.job, role=CircuitRole.LINK, devices=switches[0]
        ).exclude(pk=self.instance.pk)
        at = [
            circuit.origin for circuit in others.select_related("origin__line__part__batterydata")
        ]
        if origin is not None and origin in at:
            self.add_error(
                "origin", f"From: {origin.label} has a lead to {switches[0].label} already."
            )
        elif len(at) > 1:
            labels = " and ".join(battery.label for battery in at)
            self.add_error("devices", f"Feeds: {switches[0].label} joins {labels} already.")
        elif origin is not None and any(_volts(battery) != _volts(origin) for battery in at):
            self.add_error(
                "origin",
                f"From: {origin.label} and {at[0].label} differ in voltage and can not be joined.",
            )

    @property
    def chosen_devices(self) -> list[Device]:
        """Isolators first, boards last, as the run meets them."""
        devices = self.cleaned_data["devices"]
        return sorted(
            devices,
            key=lambda d: (
                d.kind != PartKind.SWITCH,
                d.kind in POINT_KINDS,
                is_parallel_switch(d),
                d.pk,
            ),
        )

    def changes(self) -> dict[str, Any]:
        """Only what was typed; whether a choice is kept follows from it unless ticked."""
        fields = self.Meta.fields
        changed = {name: self.cleaned_data[name] for name in fields if name in self.changed_data}
        changed.pop("nominal_v", None)
        return changed


def _volts(battery: Device) -> float | None:
    record = record_of(battery)
    return system_v(record.nominal_v) if isinstance(record, BatteryData) else None


def in_use(kind: str, stored_id: int | None) -> Any:
    return Part.objects.filter(Q(active=True) | Q(pk=stored_id), kind=kind)
