"""What a typed text may hold: no control characters, no hidden direction marks."""

from __future__ import annotations

import unicodedata
from typing import Any

from django.core.exceptions import ValidationError

LINE_BREAKS = frozenset("\n\r\t")
DIRECTION_MARKS = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c")


def cleaned_text(value: Any, *, name: str, many_lines: bool = False) -> Any:
    """The text as given, or a ValidationError that names the field and the character."""
    if not isinstance(value, str):
        return value
    for character in value:
        if character in LINE_BREAKS and many_lines:
            continue
        if character in DIRECTION_MARKS:
            raise ValidationError(
                f"{name}: holds a hidden text-direction mark "
                f"(U+{ord(character):04X}); type it again without."
            )
        if unicodedata.category(character) in ("Cc", "Cs", "Co", "Cn"):
            raise ValidationError(
                f"{name}: holds a control character (U+{ord(character):04X}); type it again without."
            )
    return value
