from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from django import forms
from django.http import QueryDict

from fitout.kit.forms import Form, NumberField
from fitout.kit.money import quantity_text, typed_text
from fitout.purchasing.models import MovementKind
from fitout.purchasing.receiving import Arrival, ToCome

MOST = Decimal("100000")
LONGEST_SERIAL = 80


class QuantityForm(Form):
    quantity = NumberField(label="Quantity", min_value=0, max_value=MOST, decimal_places=2)


class CancelForm(Form):
    reason = forms.CharField(label="Reason", max_length=200, required=False)


class MoveForm(Form):
    kind = forms.ChoiceField(
        label="What happens",
        choices=[
            (kind.value, kind.label)
            for kind in (
                MovementKind.FROM_STOCK,
                MovementKind.PICKED,
                MovementKind.FITTED,
                MovementKind.LEFT_OVER,
                MovementKind.RETURNED,
            )
        ],
    )
    quantity = NumberField(label="Quantity", min_value="0.01", max_value=MOST, decimal_places=2)
    note = forms.CharField(label="Note", max_length=200, required=False)

    def __init__(self, *args: Any, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["quantity"].unit = unit  # type: ignore[attr-defined]


class ReceiptForm(Form):
    """A row for each line still to come: accepted, rejected, serial numbers."""

    delivery_note = forms.CharField(label="Delivery note", max_length=60, required=False)
    remark = forms.CharField(label="Remark", max_length=400, required=False)

    def __init__(self, *args: Any, items: list[ToCome], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.items = [item for item in items if item.open > 0]
        for item in self.items:
            self._add_fields(item)

    @classmethod
    def with_everything(cls, typed: QueryDict, items: list[ToCome]) -> ReceiptForm:
        """What was typed so far, with all that is to come and not rejected as accepted."""
        data = typed.copy()
        form = cls(data, items=items)
        form.is_valid()
        for item in form.items:
            rejected = form.cleaned_data.get(f"rejected_{item.line.pk}") or Decimal(0)
            accepted = max(Decimal(0), item.open - rejected)
            data[f"quantity_{item.line.pk}"] = typed_text(accepted, 2)
        return cls(data, items=items)

    def _add_fields(self, item: ToCome) -> None:
        pk, code = item.line.pk, item.line.part.code
        self.fields[f"quantity_{pk}"] = NumberField(
            label=f"{code}: accepted",
            min_value=0,
            max_value=MOST,
            decimal_places=2,
            required=False,
            unit=item.line.unit,
            help_text=f"{quantity_text(item.open)} {item.line.unit} to come",
        )
        self.fields[f"rejected_{pk}"] = NumberField(
            label=f"{code}: rejected",
            min_value=0,
            max_value=MOST,
            decimal_places=2,
            required=False,
            unit=item.line.unit,
        )
        if item.line.part.serial_tracked:
            self.fields[f"serials_{pk}"] = forms.CharField(
                label=f"{code}: serial numbers",
                required=False,
                max_length=4000,
                widget=forms.Textarea(attrs={"rows": 2}),
                help_text="One a line; the rest can be added at handover",
            )

    @property
    def rows(self) -> list[dict[str, Any]]:
        return [
            {
                "item": item,
                "quantity": self[f"quantity_{item.line.pk}"],
                "rejected": self[f"rejected_{item.line.pk}"],
                "serials": self[f"serials_{item.line.pk}"]
                if item.line.part.serial_tracked
                else None,
            }
            for item in self.items
        ]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        for item in self.items:
            name = f"serials_{item.line.pk}"
            for serial in serials_in(cleaned.get(name, "")):
                if len(serial) > LONGEST_SERIAL:
                    self.add_error(
                        name,
                        f"{item.line.part.code}: a serial number has at most {LONGEST_SERIAL} "
                        "characters.",
                    )
                    break
        return cleaned

    def arrivals(self) -> list[Arrival]:
        return [
            Arrival(
                line_id=item.line.pk,
                quantity=self.cleaned_data.get(f"quantity_{item.line.pk}") or Decimal(0),
                rejected=self.cleaned_data.get(f"rejected_{item.line.pk}") or Decimal(0),
                serials=serials_in(self.cleaned_data.get(f"serials_{item.line.pk}", "")),
            )
            for item in self.items
        ]


def serials_in(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in re.split(r"[\n,;]+", text) if part.strip())
