from __future__ import annotations

from typing import Any

from django import forms

from fitout.handover.models import Outcome, RegisterItem, TestReading
from fitout.kit.audit import Change
from fitout.kit.forms import DateInput, Form, NumberField, TrackedForm


class ReadingForm(Form):
    """One row of a test sheet: a figure where one is expected, else the tester's word."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    remark = forms.CharField(
        label="Remark",
        max_length=200,
        required=False,
        widget=forms.TextInput(attrs={"placeholder": "Remark"}),
    )

    def __init__(self, *args: Any, reading: TestReading, **kwargs: Any) -> None:
        initial = {
            "version": reading.version,
            "measured": reading.measured,
            "outcome": reading.outcome,
            "remark": reading.remark,
        }
        super().__init__(*args, initial=initial, **kwargs)
        self.reading = reading
        if reading.is_measured:
            self.fields["measured"] = NumberField(
                label="Measured",
                min_value=-1_000_000,
                max_value=1_000_000,
                decimal_places=4,
                unit=reading.unit,
                required=False,
            )
        self.fields["outcome"] = forms.ChoiceField(label="Outcome", choices=self._outcomes())
        self.order_fields(["version", "measured", "outcome", "remark"])

    def _outcomes(self) -> list[tuple[str, str]]:
        if self.reading.is_measured:
            return [(Outcome.OPEN, "From the reading"), (Outcome.NOT_APPLICABLE, "Not applicable")]
        return list(Outcome.choices)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        needs_remark = cleaned.get("outcome") == Outcome.NOT_APPLICABLE
        if needs_remark and not cleaned.get("remark"):
            self.add_error("remark", "Remark: say why the test does not apply.")
        return cleaned


class RegisterItemForm(TrackedForm):
    action = "register"

    class Meta:
        model = RegisterItem
        fields = ("serial", "fitted_on")
        widgets = {"fitted_on": DateInput}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.scope = self.instance.job.scope

    def entry_label(self, *, adding: bool) -> str:
        return f"Register: {self.instance}"

    def save_watched(self, user: Any, change: Change) -> None:
        self.instance.renew_warranty()
        super().save_watched(user, change)
