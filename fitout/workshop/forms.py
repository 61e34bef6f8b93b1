from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone

from catalogue.models import Supplier, Trade
from fitout.jobs.models import Job, Zone
from fitout.kit.forms import DateInput, Form, NumberField, TrackedForm
from fitout.kit.models import User
from fitout.kit.uploads import clean_photo
from fitout.workshop.models import SnagStatus, Task


class TaskForm(TrackedForm):
    action = "tasks.plan"
    two_wide = ("title",)

    planned_h = NumberField(
        label="Planned", min_value=0, max_value=5000, decimal_places=2, unit="h"
    )

    class Meta:
        model = Task
        fields = (
            "title",
            "zone",
            "trade",
            "phase",
            "planned_h",
            "assigned_to",
            "subcontractor",
            "start_on",
            "due_on",
            "instructions",
        )
        widgets = {"start_on": DateInput, "due_on": DateInput}

    def __init__(self, *args: Any, job: Job, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.scope = job.scope
        choices: dict[str, Any] = {
            "zone": job.vessel.zones.all(),
            "trade": Trade.objects.all(),
            "assigned_to": User.objects.technicians(),
            "subcontractor": Supplier.objects.subcontractors(),
        }
        for name, queryset in choices.items():
            self.fields[name].queryset = queryset  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("assigned_to") and cleaned.get("subcontractor"):
            self.add_error(
                "subcontractor", "Subcontractor: a task has one doer; clear one of the two."
            )
        if not cleaned.get("trade") and not cleaned.get("subcontractor"):
            self.add_error("trade", "Trade: choose one, or choose a subcontractor.")
        start, due = cleaned.get("start_on"), cleaned.get("due_on")
        if start and due and due < start:
            self.add_error("due_on", f"Due: not before the start, {start:%-d %B %Y}.")
        return cleaned

    def entry_label(self, *, adding: bool) -> str:
        return f"Task “{self.instance}”"


class IssueForm(Form):
    technician = forms.ModelChoiceField(label="Work order for", queryset=User.objects.none())

    def __init__(self, *args: Any, job: Job, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people = User.objects.filter(tasks__job=job, is_active=True).distinct()
        self.fields["technician"].queryset = people  # type: ignore[attr-defined]


class TimeForm(Form):
    two_wide = ("reason",)

    started_at = forms.DateTimeField(
        label="Started",
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
    )
    stopped_at = forms.DateTimeField(
        label="Stopped",
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
    )
    reason = forms.CharField(label="Reason", max_length=150)

    def clean_stopped_at(self) -> Any:
        stopped_at = self.cleaned_data["stopped_at"]
        if stopped_at > timezone.now():
            raise forms.ValidationError("Stopped: not in the future.")
        return stopped_at


class SkillsForm(Form):
    trades = forms.ModelMultipleChoiceField(
        label="Trades",
        queryset=Trade.objects.all(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )


class HoldForm(Form):
    reason = forms.CharField(label="What holds it up", max_length=200)


class SnagForm(Form):
    two_wide = ("title",)

    title = forms.CharField(label="What is wrong", max_length=120)
    description = forms.CharField(
        label="More about it",
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    photo = forms.FileField(
        label="Photo",
        required=False,
        help_text="JPEG, PNG, WebP or HEIC, 12 MB at most",
        widget=forms.FileInput(attrs={"accept": "image/*"}),
    )

    def clean_photo(self) -> bytes | None:
        file = self.cleaned_data.get("photo")
        return clean_photo(file) if file else None


class OfficeSnagForm(SnagForm):
    zone: forms.ModelChoiceField[Zone] = forms.ModelChoiceField(
        label="Zone", queryset=Zone.objects.none(), required=False, empty_label="Whole vessel"
    )

    def __init__(self, *args: Any, job: Job, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["zone"].queryset = job.vessel.zones.all()  # type: ignore[attr-defined]


class CloseForm(Form):
    two_wide = ("note",)

    status = forms.ChoiceField(
        label="How it ends",
        choices=[
            (SnagStatus.PUT_RIGHT, SnagStatus.PUT_RIGHT.label),
            (SnagStatus.ACCEPTED, SnagStatus.ACCEPTED.label),
        ],
    )
    note = forms.CharField(label="Closing note", max_length=400, required=False)
