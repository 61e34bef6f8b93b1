"""Fields that read what people type and name themselves in every message."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import (
    MaxLengthValidator,
    MaxValueValidator,
    MinLengthValidator,
    MinValueValidator,
)
from django.db import models
from django.db.backends.base.operations import BaseDatabaseOperations

from .money import NARROW, limit_text, typed_text
from .numbers import CannotTell, parse_number

EARLIEST = date(1950, 1, 1)
LATEST = date(2150, 12, 31)
UNITS = {
    "_a": "A", "_ah": "Ah", "_v": "V", "_w": "W", "_wh": "Wh", "_kw": "kW", "_m": "m",
    "_mm": "mm", "_mm2": "mm²", "_kg": "kg", "_h": "h", "_min": "min", "_pct": "%",
    "_days": "days", "_months": "months", "_c": "°C", "_l": "l", "_ohm": "Ω", "_mohm": "mΩ",
}  # fmt: skip


class NumberInput(forms.TextInput):
    """A text box with the keypad for numbers; `type=number` would refuse a decimal comma."""

    def __init__(self, attrs: dict[str, Any] | None = None, *, whole: bool = False) -> None:
        mode = "numeric" if whole else "decimal"
        super().__init__({"inputmode": mode, "autocomplete": "off", **(attrs or {})})


class DateInput(forms.DateInput):
    input_type = "date"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs, format="%Y-%m-%d")


def limit(value: Decimal | int | str | None) -> Decimal | None:
    return None if value is None else Decimal(str(value))


class NumberField(forms.Field):
    """A Decimal between two limits, typed with comma or point, with its unit beside it."""

    def __init__(
        self,
        *,
        min_value: Decimal | int | str | None = None,
        max_value: Decimal | int | str | None = None,
        decimal_places: int = 2,
        unit: str = "",
        **options: Any,
    ) -> None:
        self.min_value = limit(min_value)
        self.max_value = limit(max_value)
        self.decimal_places = decimal_places
        self.unit = unit
        options.setdefault("widget", NumberInput(whole=decimal_places == 0))
        super().__init__(**options)

    @property
    def name(self) -> str:
        return str(self.label or "This number")

    def with_unit(self, value: Decimal | str) -> str:
        if not isinstance(value, str):
            return limit_text(value, self.decimal_places, self.unit)
        return f"{value}{NARROW}{self.unit}" if self.unit else value

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, Decimal | int | float) and not isinstance(value, bool):
            return typed_text(value, self.decimal_places)
        return value

    def to_python(self, value: Any) -> Decimal | None:
        if value in self.empty_values:
            return None
        try:
            return parse_number(str(value))
        except CannotTell as both:
            raise ValidationError(self.two_readings(both), code="two_readings") from None
        except ValueError:
            example = "12" if self.decimal_places == 0 else "12.5"
            raise ValidationError(
                f"{self.name}: write a number, such as {self.with_unit(example)}.", code="invalid"
            ) from None

    def two_readings(self, both: CannotTell) -> str:
        """The ways to write it that the field takes, as fine as it takes them."""
        ways = [typed_text(both.in_thousands)]
        if self.decimal_places:
            ways.append(typed_text(both.as_decimal, self.decimal_places))
        told = " or ".join(self.with_unit(way) for way in ways)
        return f"{self.name}: write {told}; {both.text} can be read two ways."

    def validate(self, value: Decimal | None) -> None:
        super().validate(value)
        if value is None:
            return
        if self.min_value is not None and value < self.min_value:
            text = f"{self.name}: {self.with_unit(self.min_value)} at least."
            raise ValidationError(text, code="min_value")
        if self.max_value is not None and value > self.max_value:
            text = f"{self.name}: {self.with_unit(self.max_value)} at most."
            raise ValidationError(text, code="max_value")
        if -int(value.normalize().as_tuple().exponent) > self.decimal_places:
            raise ValidationError(self.too_fine, code="decimal_places")

    @property
    def too_fine(self) -> str:
        if self.decimal_places == 0:
            return f"{self.name}: whole numbers only."
        return f"{self.name}: at most {self.decimal_places} decimals."

    def has_changed(self, initial: Any, data: Any) -> bool:
        try:
            return self.to_python(self.prepare_value(initial)) != self.to_python(data)
        except ValidationError:
            return True


class WholeNumberField(NumberField):
    """An int between two limits."""

    def __init__(self, **options: Any) -> None:
        super().__init__(decimal_places=0, **options)

    def clean(self, value: Any) -> int | None:
        number = super().clean(value)
        return None if number is None else int(number)


def as_number_field(field: forms.Field, model_field: Any = None) -> forms.Field:
    """The lenient field in place of Django's, with the limits of the model's column."""
    number = (forms.IntegerField, forms.FloatField, forms.DecimalField)
    if not isinstance(field, number) or field.widget.is_hidden:
        return field
    low, high = column_limits(field, model_field)
    return NumberField(
        min_value=low,
        max_value=high,
        decimal_places=places_of(field),
        unit=unit_of(model_field),
        required=field.required,
        label=field.label,
        initial=field.initial,
        help_text=field.help_text,
        disabled=field.disabled,
        validators=[v for v in field.validators if not is_plain_limit(v)],
    )


def is_plain_limit(validator: Any) -> bool:
    return isinstance(validator, MinValueValidator | MaxValueValidator) or hasattr(
        validator, "max_digits"
    )


def places_of(field: forms.Field) -> int:
    if isinstance(field, forms.DecimalField):
        return 2 if field.decimal_places is None else field.decimal_places
    return 4 if isinstance(field, forms.FloatField) else 0


def unit_of(model_field: Any) -> str:
    name = getattr(model_field, "name", "")
    if "_per_" in name:
        return ""
    tail = f"_{name.rsplit('_', 1)[-1]}" if "_" in name else ""
    return UNITS.get(tail, "")


def column_limits(field: Any, model_field: Any) -> tuple[Any, Any]:
    """The tightest of: what the form asks, what the model validates, what the column holds."""
    lows, highs = [field.min_value], [field.max_value]
    for validator in [*field.validators, *getattr(model_field, "validators", ())]:
        value = getattr(validator, "limit_value", None)
        if isinstance(validator, MinValueValidator):
            lows.append(value() if callable(value) else value)
        elif isinstance(validator, MaxValueValidator):
            highs.append(value() if callable(value) else value)
    low, high = storage_limits(field, model_field)
    known_lows = [Decimal(str(v)) for v in (*lows, low) if v is not None]
    known_highs = [Decimal(str(v)) for v in (*highs, high) if v is not None]
    return max(known_lows, default=None), min(known_highs, default=None)


def storage_limits(field: Any, model_field: Any) -> tuple[Any, Any]:
    if isinstance(field, forms.DecimalField) and field.max_digits is not None:
        places = field.decimal_places or 0
        top = Decimal(10) ** (field.max_digits - places) - Decimal(1).scaleb(-places)
        return -top, top
    if isinstance(model_field, models.IntegerField):
        kind = model_field.get_internal_type()
        return BaseDatabaseOperations.integer_field_ranges.get(kind, (None, None))
    return None, None


DATE_EXAMPLE = "write a date such as 2026-03-21."


def own_words(field: forms.Field) -> dict[str, str]:
    words = {
        "required": "fill this in.",
        "invalid_choice": "choose one from the list.",
        "invalid_pk_value": "choose from the list.",
        "invalid_list": "choose from the list.",
        "incomplete": "fill in all parts.",
        "contradiction": "choose a file or tick the box to remove it, not both.",
        "empty": "the file is empty.",
        "missing": "choose a file.",
    }
    if isinstance(field, forms.DateField):
        words["invalid"] = DATE_EXAMPLE
    elif isinstance(field, forms.DateTimeField):
        words["invalid"] = "write a date and time such as 2026-03-21 14:30."
    elif isinstance(field, forms.TimeField):
        words["invalid"] = "write a time such as 14:30."
    elif isinstance(field, forms.EmailField):
        words["invalid"] = "write an address such as name@example.org."
    elif isinstance(field, forms.URLField):
        words["invalid"] = "write an address such as https://example.org."
    elif isinstance(field, forms.SlugField):
        words["invalid"] = "letters, digits, - and _ only."
    return words


def name_messages(field: forms.Field, name: str) -> None:
    """Our words in place of Django's, but not in place of words chosen for this field."""
    defaults: dict[str, Any] = {}
    for kind in reversed(type(field).__mro__):
        defaults.update(getattr(kind, "default_error_messages", {}))
    for code, words in own_words(field).items():
        if field.error_messages.get(code) == defaults.get(code):
            field.error_messages[code] = f"{name}: {words}"


DASHES = "---------"


def name_no_choice(field: forms.Field) -> None:
    """A word in place of the dashes Django shows where nothing is chosen."""
    word = "Choose one" if field.required else "None"
    if isinstance(field, forms.ModelChoiceField):
        if field.empty_label == DASHES:
            field.empty_label = word
    elif isinstance(field, forms.ChoiceField):
        shown: Any = field.choices
        if ("", DASHES) in (choices := list(shown)):
            field.choices = [("", word) if one == ("", DASHES) else one for one in choices]


def name_limits(field: forms.Field, name: str) -> None:
    for validator in field.validators:
        if isinstance(validator, MaxLengthValidator):
            validator.message = f"{name}: %(limit_value)d characters at most, not %(show_value)d."
        elif isinstance(validator, MinLengthValidator):
            validator.message = f"{name}: %(limit_value)d characters at least, not %(show_value)d."
    if isinstance(field, forms.DateField):
        field.validators += [
            MinValueValidator(EARLIEST, f"{name}: {EARLIEST} at the earliest."),
            MaxValueValidator(LATEST, f"{name}: {LATEST} at the latest."),
        ]
