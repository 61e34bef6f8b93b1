from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django import forms

from catalogue.models import Category
from fitout.kit.forms import Form, NumberField, TrackedForm
from fitout.kit.models import User
from fitout.kit.money import money_text
from quotes import payment_plan
from quotes.acceptance import CannotAnswer, accept, decline
from quotes.models import JobTerms, MarkUp, Revision


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
    name = forms.CharField(label="Your name", max_length=120)
    remark = forms.CharField(
        label="Remark", max_length=1000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    agreed = forms.BooleanField(
        label="I accept this quote and its terms", error_messages={"required": "Tick to accept."}
    )

    def __init__(self, *args: Any, revision: Revision, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.revision = revision
        choices = [
            (str(line.pk), f"{line.description}, {money_text(line.net, revision.currency)}")
            for line in revision.lines.filter(is_option=True)
        ]
        self.fields["options"].choices = choices  # type: ignore[attr-defined]
        if not choices:
            del self.fields["options"]

    def accepted(self, *, by: User | None, at: datetime, today: date) -> bool:
        """Record the yes; False where something is wrong, which the form then shows."""
        if not self.is_valid():
            return False
        cleaned = self.cleaned_data
        try:
            accept(
                self.revision,
                name=cleaned["name"],
                option_ids={int(pk) for pk in cleaned.get("options", ())},
                remark=cleaned["remark"],
                by=by,
                at=at,
                today=today,
            )
        except CannotAnswer as trouble:
            self.add_error(None, str(trouble))
        return not self.errors


class RecordedAnswerForm(AnswerForm):
    """The same, written down by the office for a customer who told them."""

    name = forms.CharField(label="Who accepted for the customer", max_length=120)
    agreed = forms.BooleanField(
        label="The customer accepts this quote and its terms",
        error_messages={"required": "Tick when the customer has said so."},
    )


class DeclineForm(Form):
    reason = forms.CharField(label="Reason", max_length=200, required=False)

    def __init__(self, *args: Any, revision: Revision, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.revision = revision

    def declined(self, *, by: User | None, today: date) -> bool:
        """Record the no; False where something is wrong, which the form then shows."""
        if not self.is_valid():
            return False
        try:
            decline(self.revision, reason=self.cleaned_data["reason"], by=by, today=today)
        except CannotAnswer as trouble:
            self.add_error(None, str(trouble))
        return not self.errors
