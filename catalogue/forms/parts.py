"""A part with the electrical record of its kind: two or three forms saved as one change."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any, cast

from django import forms
from django.forms import modelform_factory

from catalogue.models import (
    DATA_BY_KIND,
    ElectricalData,
    LabourOperation,
    LoadData,
    Part,
    PartKind,
    TaxGroup,
)
from catalogue.models.electrical_data.base import unit_of_field
from catalogue.models.parts import RECORD_NAMES, WITH_LOAD, record_name, record_name_of
from fitout.kit import audit
from fitout.kit.forms import ModelForm, NumberField

SECTIONS = {
    "What it is": ("code", "description", "category", "kind", "unit", "active"),
    "Work and tax": ("trade", "usual_operation", "tax_group"),
    "Size and care": (
        "mass_kg",
        "length_mm",
        "width_mm",
        "height_mm",
        "ignition_protected",
        "serial_tracked",
        "warranty_months",
        "maintenance",
        "maintenance_months",
        "notes",
    ),
}


class PartForm(ModelForm):
    class Meta:
        model = Part
        fields = [name for names in SECTIONS.values() for name in names]
        labels = {
            "code": "Our code",
            "category": "System",
            "tax_group": "Tax",
            "mass_kg": "Mass of one unit",
            "active": "In use",
        }
        help_texts = {
            "kind": "Decides which electrical data it carries.",
            "mass_kg": "Leave empty when not known: totals then say so.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["description"].long = True  # type: ignore[attr-defined]
        if not self.instance.pk:
            self.initial.setdefault("tax_group", TaxGroup.objects.first())
        operations: Any = self.fields["usual_operation"]
        operations.queryset = LabourOperation.objects.active().select_related("trade")
        operations.empty_label = "None"
        operations.two_wide = True
        kept = self.instance.usual_operation
        if kept is not None and not kept.active:
            operations.queryset |= LabourOperation.objects.filter(pk=kept.pk)

    def sections(self) -> Iterator[tuple[str, list[Any]]]:
        for title, names in SECTIONS.items():
            yield title, [self[name] for name in names]


class RecordForm(ModelForm):
    """One electrical record. Its part is set before it is asked whether it is valid."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            if isinstance(field, NumberField):
                field.unit = unit_of_field(self.model_field(name))
                if name.startswith("duty_"):
                    field.help_text = "0 never, 1 always"


@cache
def record_form_class(model: type[ElectricalData]) -> type[RecordForm]:
    made: Any = modelform_factory(model, form=RecordForm, exclude=["part"])
    return cast("type[RecordForm]", made)


def _was_shown(form: forms.BaseForm, typed: dict[str, str]) -> bool:
    return any(form.add_prefix(name) in typed for name in form.fields)


def _typed_for(form: forms.BaseForm, typed: dict[str, str]) -> dict[str, Any]:
    """The typed values of a form's fields. A tick that was not sent was not set."""
    found: dict[str, Any] = {}
    for name, field in form.fields.items():
        sent = form.add_prefix(name)
        if isinstance(field, forms.BooleanField) and not isinstance(field, forms.NullBooleanField):
            found[name] = sent in typed
        elif sent in typed:
            found[name] = typed[sent]
    return found


class PartEntry:
    """The forms of one part page together; `kind` is the one chosen on the form."""

    def __init__(self, part: Part, data: Any = None) -> None:
        self.part = part
        self.form = PartForm(data, instance=part, initial={} if part.pk else {"kind": "general"})
        self.kind = self._chosen_kind(data)
        self.record_form: RecordForm | None = None
        if self.kind in DATA_BY_KIND:
            self.record_form = self._record_form(self.kind, "data", data)
        self.load_form: RecordForm | None = None
        if self.kind in WITH_LOAD:
            self.load_form = self._record_form(PartKind.LOAD, "load", data)
            self.load_form.use_required_attribute = False

    @classmethod
    def like(cls, source: Part) -> PartEntry:
        """An empty part with everything of another one but its code."""
        entry = cls(Part(kind=source.kind))
        entry.form.initial = {**forms.model_to_dict(source), "code": "", "active": True}
        for form in (entry.record_form, entry.load_form):
            if form is None:
                continue
            record: ElectricalData | None = getattr(source, record_name(form.instance), None)
            if record is not None:
                form.initial = forms.model_to_dict(record)
        return entry

    @classmethod
    def unchecked(cls, part: Part, data: Any) -> PartEntry:
        """What was typed so far, with the fields of the kind just chosen, nothing refused yet."""
        typed = {name: data.get(name, "") for name in data}
        entry = cls(part, data)
        for form in (entry.form, entry.record_form, entry.load_form):
            if form is not None:
                form.is_bound = False
            if form is not None and _was_shown(form, typed):
                form.initial = {**form.initial, **_typed_for(form, typed)}
        return entry

    def _chosen_kind(self, data: Any) -> str:
        kind = self.part.kind if data is None else data.get("kind", "")
        return kind if kind in PartKind.values else PartKind.GENERAL

    def _record_form(self, kind: str, prefix: str, data: Any) -> RecordForm:
        model = DATA_BY_KIND[kind]
        stored = getattr(self.part, record_name_of(kind), None) if self.part.pk else None
        instance = stored or model()
        return record_form_class(model)(data, instance=instance, prefix=prefix)

    @property
    def kind_name(self) -> str:
        return PartKind(self.kind).label

    @property
    def wants_load(self) -> bool:
        """Whether anything at all was filled in about a supply of its own."""
        if self.load_form is None or not self.load_form.is_bound:
            return False
        data, prefix = self.load_form.data, self.load_form.prefix
        if not any(name.startswith(f"{prefix}-") for name in data):
            return False  # the kind was changed and sent before its fields were shown
        blank = record_form_class(LoadData)(data, instance=LoadData(), prefix=prefix)
        return blank.has_changed()

    @property
    def record_forms(self) -> list[RecordForm]:
        """The record forms that count: the kind's own, and load data when there is any."""
        wanted = [self.record_form, self.load_form if self.wants_load else None]
        return [form for form in wanted if form is not None]

    def is_valid(self) -> bool:
        valid = self.form.is_valid()
        for form in self.record_forms:
            form.instance.part = self.part
            valid = form.is_valid() and valid
        return valid

    def save_by(self, user: Any) -> Part:
        """One undoable entry for the part and its records; a new part is not undone but retired."""
        adding = self.part.pk is None
        label = f"{'Added' if adding else 'Changed'} {self.part.code}"
        with audit.tracked(
            actor=user, scope="parts", label=label, action="part", undoable=not adding
        ) as change:
            if not adding:
                change.watch(self.part)
                change.watch(*self._stored_records())
            part: Part = self.form.save_by(user)
            self._save_records(part, change)
            if adding:
                change.created(part)
        return part

    def _stored_records(self) -> list[ElectricalData]:
        stored = Part.objects.with_electrical().get(pk=self.part.pk)
        records = (getattr(stored, name, None) for name in RECORD_NAMES)
        return [record for record in records if record is not None]

    def _save_records(self, part: Part, change: audit.Change) -> None:
        kept = {type(form.instance) for form in self.record_forms}
        for record in self._stored_records():
            if type(record) not in kept:
                record.delete()
        for form in self.record_forms:
            record = form.save(commit=False)
            record.part = part
            added = record.pk is None
            record.save()
            if added:
                change.created(record)
