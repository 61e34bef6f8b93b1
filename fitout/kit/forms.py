"""Bases for every form: clean text, numbers as people type them, messages that name the field.

All forms are drawn by one template, `kit/form.html`, each field by `kit/field.html`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.forms.renderers import DjangoTemplates

from . import audit
from .controls import control_html
from .fields import (
    DateInput,
    NumberField,
    WholeNumberField,
    as_number_field,
    name_limits,
    name_messages,
    name_no_choice,
)
from .models import StaleVersion, Versioned
from .text import check_text

__all__ = [
    "DateInput",
    "Form",
    "ModelForm",
    "NumberField",
    "Renderer",
    "StaleVersion",
    "TrackedForm",
    "WholeNumberField",
]


class Renderer(DjangoTemplates):
    """Our templates, found where all templates are found; Django's own for its widgets."""

    form_template_name = "kit/form.html"
    field_template_name = "kit/field.html"

    def get_template(self, template_name: str) -> Any:
        from django.template.loader import get_template

        return get_template(template_name)

    def render(self, template_name: str, context: Any, request: Any = None) -> str:
        drawn = control_html(template_name, context["widget"]) if "widget" in context else None
        return drawn if drawn is not None else super().render(template_name, context, request)


class CleanForm(forms.BaseForm):
    """Every text is checked; every number is read leniently; every message names its field."""

    two_wide: ClassVar[tuple[str, ...]] = ()
    """Fields for a sentence rather than a word."""
    first_in_row: ClassVar[tuple[str, ...]] = ()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in list(self.fields.items()):
            self.fields[name] = as_number_field(field, self.model_field(name))
        for name in self.fields:
            self.prepare_field(name)

    def prepare_field(self, name: str) -> None:
        field = self.fields[name]
        field.two_wide = name in self.two_wide  # type: ignore[attr-defined]
        field.first_in_row = name in self.first_in_row  # type: ignore[attr-defined]
        if not field.label:
            field.label = name.replace("_", " ").capitalize()
        if type(field.widget) in (forms.TextInput, forms.Textarea):
            field.widget.attrs.setdefault("dir", "auto")
        name_messages(field, str(field.label))
        name_limits(field, str(field.label))
        name_no_choice(field)

    def model_field(self, name: str) -> Any:
        return None

    def _clean_fields(self) -> None:
        """What a text may not hold is told in place of whatever its field says about it."""
        super()._clean_fields()  # type: ignore[misc]
        for name, refusal in self.refused_texts():
            self.errors.pop(name, None)
            self.add_error(name, refusal)

    def refused_texts(self) -> Iterator[tuple[str, ValidationError]]:
        for name, field in self.fields.items():
            if isinstance(field, forms.CharField) and not field.disabled:
                lines = isinstance(field.widget, forms.Textarea)
                try:
                    check_text(self[name].data, name=str(field.label), many_lines=lines)
                except ValidationError as refusal:
                    yield name, refusal

    def add_error(self, field: str | None, error: Any) -> None:
        given = error if isinstance(error, ValidationError) else ValidationError(error)
        if hasattr(given, "error_dict"):
            for name, errors in given.error_dict.items():
                for one in errors:
                    self.add_error(None if name == "__all__" else name, one)
            return
        if field is not None and field in self.fields:
            given = ValidationError(list(self.naming(str(self.fields[field].label), given)))
        super().add_error(field, given)

    @staticmethod
    def naming(label: str, error: ValidationError) -> Iterator[ValidationError]:
        """Put the field's name first where a message does not start with it."""
        for one in error.error_list:
            text = " ".join(one.messages)
            named = text if text.startswith(label) else f"{label}: {text}"
            yield ValidationError(named, code=one.code)


class Form(CleanForm, forms.Form):
    pass


class ModelForm(CleanForm, forms.ModelForm):  # type: ignore[type-arg]
    """A form over one row. A row with a version carries it, and a stale one shows both."""

    stale: Any = None
    is_overtaken = False

    def model_field(self, name: str) -> Any:
        return next((f for f in self._meta.model._meta.fields if f.name == name), None)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if isinstance(self.instance, Versioned) and self.instance.pk:
            self.fields["version"] = forms.IntegerField(
                widget=forms.HiddenInput, initial=self.instance.version
            )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if "version" in self.fields and not self.errors.get("version"):
            self._check_version(cleaned.get("version"))
        return cleaned

    def _check_version(self, sent: int | None) -> None:
        stored = type(self.instance)._meta.base_manager.filter(pk=self.instance.pk).first()
        if stored is None or stored.version != sent:
            self.show_both(stored)

    def show_both(self, stored: Any) -> None:
        """Keep what was typed, say beside each field that differs what is stored now."""
        self.stale, self.is_overtaken = stored, True
        if stored is None:
            self.add_error(None, "This was removed by somebody else while you were typing.")
            return
        who = stored.changed_by or "Somebody else"
        self.add_error(
            None,
            f"{who} changed this while you were typing. What you typed is kept; "
            "compare it with what is stored now, then save again.",
        )
        for name in self.changed_against(stored):
            self.add_error(name, f"stored now is “{self.stored_text(stored, name)}”.")
        typed: Any = self.data.copy()  # type: ignore[attr-defined]
        typed[self.add_prefix("version")] = str(stored.version)
        self.data = typed

    def changed_against(self, stored: Any) -> list[str]:
        theirs = forms.model_to_dict(stored)
        return [
            name
            for name, field in self.fields.items()
            if name in theirs and field.has_changed(theirs[name], self[name].data)
        ]

    def stored_text(self, stored: Any, name: str) -> str:
        display = getattr(stored, f"get_{name}_display", None)
        value = display() if display else getattr(stored, name)
        if isinstance(value, bool):
            return "yes" if value else "no"
        return "empty" if value in (None, "") else str(value)

    def save_by(self, user: Any) -> Any:
        """Save with the version that was read; raises `StaleVersion` in the last instant."""
        if not self.is_valid():
            raise ValidationError(self.errors.as_data())
        row = self.save(commit=False)
        if isinstance(row, Versioned) and row.pk and not row._state.adding:
            row.save_if_version(self.cleaned_data["version"], by=user)
        else:
            if isinstance(row, Versioned):
                row.changed_by = user
            row.save()
        self.save_m2m()
        return row

    def saved_by(self, user: Any) -> Any:
        """The row as saved; None where something is wrong, which the form then shows."""
        if not self.is_valid():
            return None
        try:
            return self.save_by(user)
        except StaleVersion as stale:
            self.show_both(stale.current)
            return None

    @property
    def http_status(self) -> int:
        """What a page that shows this form again answers."""
        if not self.is_bound:
            return 200
        return 409 if self.is_overtaken else 422


class YesNoField(forms.TypedChoiceField):
    """Yes, no, or None while nobody has told; `untold` words the last."""

    def __init__(self, *, untold: str, **kwargs: Any) -> None:
        super().__init__(
            choices=[("", untold), ("True", "Yes"), ("False", "No")],
            coerce=lambda text: text == "True",
            empty_value=None,
            required=False,
            **kwargs,
        )


class TrackedForm(ModelForm):
    """A form whose save is one entry of the audit trail."""

    scope = ""
    action = "change"
    can_undo_new = True
    can_undo_change = True

    def entry_label(self, *, adding: bool) -> str:
        return f"{'Added' if adding else 'Changed'} {self.instance}"

    def save_by(self, user: Any) -> Any:
        adding = self.instance.pk is None
        with audit.tracked(
            actor=user,
            scope=self.scope,
            label=self.entry_label(adding=adding),
            action=self.action,
            undoable=self.can_undo_new if adding else self.can_undo_change,
        ) as change:
            self.save_watched(user, change)
        return self.instance

    def save_watched(self, user: Any, change: audit.Change) -> None:
        """Save the row; a form that changes other rows with it does so here."""
        if self.instance.pk is not None:
            change.watch(self.instance)
        change.created(super().save_by(user))
