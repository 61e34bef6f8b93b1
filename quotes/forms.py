from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms

from catalogue.models import Category
from fitout.kit.forms import Form, NumberField, TrackedForm
from fitout.kit.money import money_text
from quotes import payment_plan
from quotes.models import JobTerms, MarkUp, QuoteLine


class TermsForm(TrackedForm):
    action = "terms"

    validity_days = NumberField(
        label="Valid for", min_value=1, max_value=365, decimal_places=0, unit="days"
    )
    discount_pct = NumberField(
        label="Discount", min_value=0, max_value=50, decimal_places=2, unit="%"
    )
    subcontract_mark_up_pct = NumberField(
        label="Mark-up on subcontract", min_value=0, max_value=500, decimal_places=2, unit="%"
    )

    class Meta:
        model = JobTerms
        fields = (
            "validity_days",
            "discount_pct",
            "discount_reason",
            "subcontract_mark_up_pct",
            "payment_plan",
            "inclusions",
            "exclusions",
            "terms",
        )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.scope = self.instance.job.scope

    def entry_label(self, *, adding: bool) -> str:
        return f"Terms of {self.instance.job.code}"

    def clean_payment_plan(self) -> str:
        plan = str(self.cleaned_data["payment_plan"])
        try:
            payment_plan.parse(plan)
        except payment_plan.BadPlan as trouble:
            raise forms.ValidationError(str(trouble)) from trouble
        return plan

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("discount_pct") and not cleaned.get("discount_reason"):
            self.add_error("discount_reason", "Discount reason: say why; the customer reads it.")
        return cleaned


class MarkUpForm(Form):
    """One percentage for each category and one for everything else."""

    def __init__(self, *args: Any, mark_ups: dict[str, MarkUp], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.mark_ups = mark_ups
        for code, name in [("", "Everything else"), *Category.choices]:
            stored = mark_ups.get(code)
            self.fields[self.field_name(code)] = NumberField(
                label=name,
                min_value=0,
                max_value=500,
                decimal_places=2,
                unit="%",
                required=code == "",
                initial=stored.mark_up_pct if stored else None,
                help_text="" if code == "" else "Empty: as everything else",
            )

    @staticmethod
    def field_name(code: str) -> str:
        return f"mark_up_{code or 'other'}"

    def wanted(self) -> dict[str, Decimal | None]:
        codes = ["", *Category.values]
        return {code: self.cleaned_data[self.field_name(code)] for code in codes}


class AnswerForm(Form):
    """The customer's yes: a name and the options they take."""

    options = forms.MultipleChoiceField(
        label="Options", required=False, widget=forms.CheckboxSelectMultiple
    )
    name = forms.CharField(label="Your name", max_length=120, strip=True)
    remark = forms.CharField(
        label="Remark", max_length=1000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    agreed = forms.BooleanField(
        label="I accept this quote and its terms", error_messages={"required": "Tick to accept."}
    )

    def __init__(
        self, *args: Any, options: Iterable[QuoteLine], currency: str, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.option_lines = list(options)
        self.fields["options"].choices = [  # type: ignore[attr-defined]
            (str(line.pk), f"{line.description}, {money_text(line.net, currency)}")
            for line in self.option_lines
        ]
        if not self.option_lines:
            del self.fields["options"]

    @property
    def option_ids(self) -> set[int]:
        return {int(pk) for pk in self.cleaned_data.get("options", ())}


class DeclineForm(Form):
    reason = forms.CharField(label="Reason", max_length=200, required=False)
