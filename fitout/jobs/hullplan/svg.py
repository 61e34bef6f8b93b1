"""SVG text, every attribute and every word escaped, no style attributes."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.html import conditional_escape, escape
from django.utils.safestring import SafeString, mark_safe

Value = str | float | int | None


def element(
    name: str, content: Iterable[SafeString] | str = "", /, **attributes: Value
) -> SafeString:
    """`element("rect", x=1, data_zone="HM")`; plain content is escaped, SVG made here is not."""
    shown = "".join(
        f' {_name(key)}="{escape(_number(value))}"'
        for key, value in attributes.items()
        if value is not None
    )
    inside = conditional_escape(content) if isinstance(content, str) else joined(content)
    body = f">{inside}</{name}>" if inside else "/>"
    return mark_safe(f"<{name}{shown}{body}")  # noqa: S308  escaped above


def joined(parts: Iterable[SafeString]) -> SafeString:
    return mark_safe("".join(conditional_escape(part) for part in parts))  # noqa: S308


def _name(key: str) -> str:
    if key == "viewBox":
        return key
    return key.rstrip("_").replace("_", "-")


def _number(value: Value) -> str:
    return trimmed(value) if isinstance(value, float) else str(value)


def trimmed(value: float) -> str:
    text = f"{value:.1f}"
    text = text.removesuffix(".0")
    return "0" if text == "-0" else text
