"""Amounts and quantities as text, and the hidden key that makes a form count once."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from fitout.kit import money as amounts
from fitout.kit import text as texts
from fitout.kit.once import FIELD, new_key

register = template.Library()

Number = Decimal | int | float


def _is_number(value: Any) -> bool:
    return isinstance(value, Decimal | int | float) and not isinstance(value, bool)


@register.filter
def money(amount: Any, currency: str = "EUR") -> str:
    return amounts.money_text(Decimal(str(amount)), currency) if _is_number(amount) else ""


@register.filter
def qty(quantity: Any, places: int = 3) -> str:
    return amounts.quantity_text(quantity, places) if _is_number(quantity) else ""


@register.filter
def typed(quantity: Any, places: int = 3) -> str:
    """For the value of an input, where a comma would be read as the decimal sign."""
    return amounts.typed_text(quantity, places) if _is_number(quantity) else ""


@register.filter
def pct(percent: Any, places: int = 1) -> str:
    return amounts.percent_text(percent, places) if _is_number(percent) else ""


@register.filter
def printed(text: Any) -> str:
    return texts.printed(str(text))


@register.simple_tag
def once() -> SafeString:
    return format_html('<input type="hidden" name="{}" value="{}">', FIELD, new_key())
