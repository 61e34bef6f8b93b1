"""Numbers as people type them: decimal comma or point, thousands marked, unit named."""

from __future__ import annotations

import re
from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from .money import NARROW, quantity_text

GROUPED = re.compile(r"^[+-]?\d{1,3}([.,' \u00a0\u202f]\d{3})+([.,]\d+)?$")
MAX_TYPED = 40


def name_of(field: forms.Field) -> str:
    return str(field.label or "This field")


def parse_number(text: str) -> Decimal:
    """Read `1,5`, `1.5`, `1 234,5`, `1,234.5`; raise ValueError for anything else.

    A single comma or point is the decimal sign. With two different signs the last one is.
    """
    text = text.strip().replace("\N{MINUS SIGN}", "-").replace("\u00a0", " ").replace("\u202f", " ")
    if len(text) > MAX_TYPED or not re.fullmatch(r"[+-]?[\d.,' ]*\d[\d.,' ]*", text):
        raise ValueError(text)
    decimal_sign = max(text.rfind(","), text.rfind("."))
    signs = [c for c in text if c in ",."]
    if len(signs) > 1 and len(set(signs)) == 1:
        decimal_sign = -1
    whole = text if decimal_sign < 0 else text[:decimal_sign]
    part = "" if decimal_sign < 0 else text[decimal_sign + 1 :]
    if re.search(r"[,.' ]", whole) and not GROUPED.match(whole):
        raise ValueError(text)
    if part and not part.isdecimal():
        raise ValueError(text)
    try:
        return Decimal(re.sub(r"[,.' ]", "", whole) + (f".{part}" if part else ""))
    except InvalidOperation as error:
        raise ValueError(text) from error


class NumberInput(forms.TextInput):
    """A text box with the keypad for numbers; `type=number` would refuse a decimal comma."""

    def __init__(self, attrs: dict[str, Any] | None = None, *, whole: bool = False) -> None:
        mode = "numeric" if whole else "decimal"
        super().__init__({"inputmode": mode, "autocomplete": "off", **(attrs or {})})


class NumberField(forms.Field):
    def __init__(
        self,
        *,
        min_value: Decimal | int | str | None = None,
        max_value: Decimal | int | str | None = None,
        decimal_places: int = 2,
        unit: str = "",
        **options: Any,
    ) -> None:
        self.min_value = None if min_value is None else Decimal(str(min_value))
        self.max_value = None if max_value is None else Decimal(str(max_value))
        self.decimal_places = decimal_places
        self.unit = unit
        options.setdefault("widget", NumberInput(whole=decimal_places == 0))
        super().__init__(**options)

    def with_unit(self, value: Decimal | str) -> str:
        text = value if isinstance(value, str) else quantity_text(value, self.decimal_places)
        return f"{text}{NARROW}{self.unit}" if self.unit else text

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, Decimal | int | float) and not isinstance(value, bool):
            return quantity_text(value, self.decimal_places).replace(",", "")
        return value

    def to_python(self, value: Any) -> Decimal | None:
        if value in self.empty_values:
            return None
        try:
            return parse_number(str(value))
        except ValueError:
            example = "12" if self.decimal_places == 0 else "12.5"
            raise ValidationError(
                f"{name_of(self)}: write a number, such as {self.with_unit(example)}.",
                code="invalid",
            ) from None

    def validate(self, value: Decimal | None) -> None:
        super().validate(value)
        if value is None:
            return
        name = name_of(self)
        if self.min_value is not None and value < self.min_value:
            raise ValidationError(
                f"{name}: {self.with_unit(self.min_value)} at least.", code="min_value"
            )
        if self.max_value is not None and value > self.max_value:
            raise ValidationError(
                f"{name}: {self.with_unit(self.max_value)} at most.", code="max_value"
            )
        if -int(value.as_tuple().exponent) > self.decimal_places:
            raise ValidationError(self.too_fine(name), code="decimal_places")

    def too_fine(self, name: str) -> str:
        if self.decimal_places == 0:
            return f"{name}: whole numbers only."
        return f"{name}: at most {self.decimal_places} decimals."

    def has_changed(self, initial: Any, data: Any) -> bool:
        try:
            return self.to_python(self.prepare_value(initial)) != self.to_python(data)
        except ValidationError:
            return True
