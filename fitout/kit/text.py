"""Texts: what a typed one may hold, and how many of a thing are said."""

from __future__ import annotations

import re
import unicodedata
from typing import Any

from django.core.exceptions import ValidationError

LINE_CHARACTERS = frozenset("\n\r\t")
NBSP = "\N{NO-BREAK SPACE}"
THIN_SPACE = "\N{NARROW NO-BREAK SPACE}"
UNITS = (
    "V A W Ah Wh kW hp kg kgf t N mm cm m mm² m² m³ ml l l/min m³/min bar °C °F % h s Hz dB NM in"
)
BEFORE_UNIT = re.compile(
    rf"(?<=\d) (?=(?:[kmM]?Ω|{'|'.join(re.escape(unit) for unit in UNITS.split())})(?![\w/]))"
)
#: A figure of the electrical check, not a year or an article number.
LARGE_FIGURE = re.compile(
    rf"(?<![\w.,:])[1-9]\d{{3,}}(?=(?:\.\d+)?[ {NBSP}](?:A²s|Ah|Wh|[kmM]?Ω|[AVW])(?![\w/]))"
)
BETWEEN_SIZES = re.compile(r"(?<=\d) × (?=\d)")
#: Signs the printed faces lack, as words.
WORDS = {"kΩ": "kilohm", "mΩ": "milliohm", "MΩ": "megohm", "Ω": "ohm", "→": "to", "≤": "at most"}
OVERRIDES = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def check_text(value: Any, *, name: str, many_lines: bool = False) -> None:
    """Raise a ValidationError that names the field and the character."""
    for character in value if isinstance(value, str) else "":
        if many_lines and character in LINE_CHARACTERS:
            continue
        if character in OVERRIDES:
            raise ValidationError(
                f"{name}: holds a hidden text-direction mark "
                f"(U+{ord(character):04X}); type it again without."
            )
        if unicodedata.category(character) in ("Cc", "Cs"):
            raise ValidationError(
                f"{name}: holds a control character (U+{ord(character):04X}); "
                "type it again without."
            )


def held_together(text: str) -> str:
    """A number keeps its unit beside it, and one size the other, where a line breaks."""
    return BETWEEN_SIZES.sub(f"{NBSP}×{NBSP}", BEFORE_UNIT.sub(NBSP, text))


def in_thousands(digits: str) -> str:
    """Digits in groups of three: `159630.5` becomes `159 630.5`, held by narrow spaces."""
    sign = "-" if digits.startswith("-") else ""
    whole, point, decimals = digits.removeprefix("-").partition(".")
    return sign + f"{int(whole):,}".replace(",", THIN_SPACE) + point + decimals


def large_figures(text: str) -> str:
    """A sentence with its large currents, voltages and energies in groups of three digits."""
    return LARGE_FIGURE.sub(lambda found: in_thousands(found.group()), text)


def printed(text: str) -> str:
    """As it stands in print: held together, and every sign has a face."""
    text = held_together(text)
    for sign, word in WORDS.items():
        text = text.replace(sign, word)
    return text


def counted(count: int, word: str) -> str:
    """`1 task`, `3 tasks`."""
    return f"{count} {word}{'' if count == 1 else 's'}"
