from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from catalogue.models import Part, PartKind
from electrical.data_backbone.editing import TeeValues
from electrical.data_backbone.layout import Layout, Tee, is_backbone_cable
from electrical.models import DataBackbone, Device
from fitout.kit.forms import Form, NumberField, WholeNumberField, YesNoField

AS_ON_SHEET = "As on the build sheet"
MOST_TEES = 99


@dataclass(frozen=True)
class TeeFields:
    """The fields of one device, as a row of the form."""

    device: Device
    tee: Tee | None
    order: BoundField
    length: BoundField | None
    drop: BoundField | None
    joined: BoundField


class LayoutForm(Form):
    version = forms.IntegerField(required=False, widget=forms.HiddenInput)
    cable = forms.ModelChoiceField(
        Part.objects.none(),
        label="Backbone cable",
        required=False,
        empty_label="The longest on the build sheet",
        help_text="Its grade sets the limits, its resistance the drop.",
    )
    terminator_first = YesNoField(label="Terminator at the first tee", untold=AS_ON_SHEET)
    terminator_last = YesNoField(label="Terminator at the last tee", untold=AS_ON_SHEET)
    shield_grounds = WholeNumberField(
        label="Points where the shield is grounded",
        min_value=0,
        max_value=9,
        required=False,
        help_text="One, at the supply. Leave empty until you have looked.",
    )

    def __init__(self, layout: Layout, data: Any = None) -> None:
        self.layout = layout
        stored = layout.stored
        names = ("version", "cable", "terminator_first", "terminator_last", "shield_grounds")
        initial = {name: getattr(stored, name) for name in names} if stored else {}
        super().__init__(data, initial=initial)
        field: Any = self.fields["cable"]
        field.queryset = Part.objects.filter(
            pk__in=[part.pk for part in _cables() if is_backbone_cable(part)]
        )
        for tee in layout.tees:
            self._add(tee.device, tee)
        for device in layout.left_off:
            self._add(device, None)

    def _add(self, device: Device, tee: Tee | None) -> None:
        self.fields[f"order_{device.pk}"] = NumberField(
            label=f"Order of {device.label}",
            min_value=0,
            max_value=MOST_TEES,
            decimal_places=1,
            initial=tee.number if tee else MOST_TEES,
        )
        self.fields[f"joined_{device.pk}"] = forms.BooleanField(
            label=f"{device.label} is on the backbone", required=False, initial=tee is not None
        )
        if tee is not None and tee.number > 1:
            set_m = tee.before_m if tee.is_before_set else None
            self._length(f"length_{device.pk}", f"Cable to {device.label}", set_m, 100)
        if tee is not None and not tee.is_feed:
            set_m = tee.drop_m if tee.is_drop_set else None
            self._length(f"drop_{device.pk}", f"Drop to {device.label}", set_m, 50)

    def _length(self, name: str, label: str, set_m: float | None, most_m: int) -> None:
        self.fields[name] = NumberField(
            label=label,
            min_value=0,
            max_value=most_m,
            decimal_places=2,
            unit="m",
            required=False,
            initial=set_m,
        )

    @property
    def own_fields(self) -> list[BoundField]:
        names = ("cable", "terminator_first", "terminator_last", "shield_grounds")
        return [self[name] for name in names]

    @property
    def rows(self) -> Iterator[TeeFields]:
        pairs = [(tee.device, tee) for tee in self.layout.tees]
        for device, tee in [*pairs, *((device, None) for device in self.layout.left_off)]:
            yield TeeFields(
                device=device,
                tee=tee,
                order=self[f"order_{device.pk}"],
                length=self._bound(f"length_{device.pk}"),
                drop=self._bound(f"drop_{device.pk}"),
                joined=self[f"joined_{device.pk}"],
            )

    def _bound(self, name: str) -> BoundField | None:
        return self[name] if name in self.fields else None

    def overtake(self, stored: DataBackbone | None) -> None:
        """Somebody saved meanwhile: what was typed stays, and the next save goes through."""
        who = (stored.changed_by if stored else None) or "Somebody else"
        self.add_error(
            None,
            f"{who} changed this layout while you were typing. What you typed is kept; compare "
            "it with the drawing, which is as stored now, then save again.",
        )
        given: Any = self.data
        typed = given.copy()
        typed["version"] = str(stored.version) if stored else ""
        self.data = typed

    def values(self) -> dict[str, Any]:
        cleaned = self.cleaned_data
        grounds = cleaned["shield_grounds"]
        return {
            "cable": cleaned["cable"],
            "terminator_first": cleaned["terminator_first"],
            "terminator_last": cleaned["terminator_last"],
            "shield_grounds": None if grounds is None else int(grounds),
        }

    def tees(self) -> list[TeeValues]:
        """In the order typed; what has the same number stays as it was."""
        devices = [*(tee.device for tee in self.layout.tees), *self.layout.left_off]
        cleaned = self.cleaned_data
        ordered = sorted(devices, key=lambda device: cleaned[f"order_{device.pk}"])
        return [
            TeeValues(
                device_id=device.pk,
                position=position,
                is_joined=cleaned[f"joined_{device.pk}"],
                length_m=_stored(cleaned.get(f"length_{device.pk}")),
                drop_m=_stored(cleaned.get(f"drop_{device.pk}")),
            )
            for position, device in enumerate(ordered, start=1)
        ]


def _stored(value: Decimal | None) -> Decimal | None:
    return None if value is None else value.quantize(Decimal("0.001"))


def _cables() -> list[Part]:
    parts = Part.objects.filter(kind=PartKind.DATA_CABLE, active=True)
    return list(parts.select_related("datacabledata").exclude(datacabledata=None))
