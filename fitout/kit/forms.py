"""Bases for every form: clean text, numbers as people type them, messages that name the field.

All forms are drawn by one template, `kit/form.html`, each field by `kit/field.html`.
"""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms.renderers import DjangoTemplates

from .numbers import NumberField, name_of
from .text import cleaned_text
from .models import StaleVersion, Versioned

__all__ = ["Form", "ModelForm", "NumberField", "Renderer", "StaleVersion"]


class Renderer(DjangoTemplates):
    form_template_name = "kit/form.html"
    field_template_name = "kit/field.html"

    def get_template(self, template_name: str) -> Any:
        from django.template.loader import get_template

        return get_template(template_name)


class CleanForm(forms.BaseForm):
    """Every text is cleaned; every built-in message starts with the name of its field."""

    default_renderer = Renderer

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field_name, field in self.fields.items():
            name_messages(field, field.label or field_name.replace("_", " ").capitalize())

    def _clean_bound_field(self, bound_field: Any) -> Any:
        """Where Django cleans one field: text is checked before the field's own rules."""
        field = bound_field.field
        if isinstance(field, forms.CharField) and not field.disabled:
            cleaned_text(
                bound_field.data,
                name=name_of(field),
                many_lines=isinstance(field.widget, forms.Textarea),
            )
        return super()._clean_bound_field(bound_field)  # type: ignore[misc]

    @property
    def is_filled(self) -> bool:
        return self.is_bound and any(str(value).strip() for value in self.data.values())


def name_messages(field: forms.Field, name: str) -> None:
    field.label = name
    messages = {
        "required": f"{name}: fill this in.",
        "invalid_choice": f"{name}: choose one from the list.",
        "invalid_pk_value": f"{name}: choose from the list.",
        "invalid_list": f"{name}: choose from the list.",
        "invalid_date": f"{name}: write a date such as 2026-03-21.",
    }
    if isinstance(field, forms.DateField):
        messages["invalid"] = f"{name}: write a date such as 2026-03-21."
    elif isinstance(field, forms.DateTimeField):
        messages["invalid"] = f"{name}: write a date and time such as 2026-03-21 14:30."
    elif isinstance(field, forms.EmailField):
        messages["invalid"] = f"{name}: write an address such as name@example.org."
    for code, message in messages.items():
        if code in field.error_messages and not field.__dict__.get("own_messages"):
            field.error_messages[code] = message
    if isinstance(field, forms.CharField) and field.max_length:
        name_length_limit(field, name)


def name_length_limit(field: forms.CharField, name: str) -> None:
    from django.core.validators import MaxLengthValidator

    for validator in field.validators:
        if isinstance(validator, MaxLengthValidator):
            validator.message = f"{name}: at most %(limit_value)d characters, not %(show_value)d."


class Form(CleanForm, forms.Form):
    pass


class ModelForm(CleanForm, forms.ModelForm):  # type: ignore[type-arg]
    """A form over one row. A row with a version carries it, and a stale one shows both."""

    stale: Versioned | None = None

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
        stored = type(self.instance)._base_manager.filter(pk=self.instance.pk).first()
        if stored is None or stored.version != sent:
            self.show_both(stored)

    def show_both(self, stored: Any) -> None:
        """Keep what was typed, say beside each field that differs what is stored now."""
        self.stale = stored
        if stored is None:
            self.add_error(None, "This was removed by somebody else while you were typing.")
            return
        who = stored.changed_by or "Somebody else"
        self.add_error(
            None,
            f"{who} changed this while you were typing. What you typed is kept; "
            "compare it with what is stored now, then save again.",
        )
        for name in self._meta.fields or ():
            if name in self.fields and name in self.changed_against(stored):
                self.add_error(name, f"Stored now: {self.stored_text(stored, name)}")
        self.data = self.data.copy()
        self.data[self.add_prefix("version")] = str(stored.version)

    def changed_against(self, stored: Any) -> set[str]:
        theirs = forms.model_to_dict(stored)
        return {
            name
            for name, field in self.fields.items()
            if name in theirs and field.has_changed(theirs[name], self[name].data)
        }

    def stored_text(self, stored: Any, name: str) -> str:
        display = getattr(stored, f"get_{name}_display", None)
        value = display() if display else getattr(stored, name)
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
