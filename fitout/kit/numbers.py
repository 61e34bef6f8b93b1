"""Numbers as people type them: decimal comma or point, thousands set apart."""

from __future__ import annotations

import re
from decimal import Decimal

SHAPE = re.compile(r"[+-]?\d[\d.,' ]*|[+-]?[.,]\d+")
GROUPED = re.compile(r"[+-]?\d{1,3}([.,' ]\d{3})+")
TWO_READINGS = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}")
LONGEST = 40
SPACES = str.maketrans({"\u00a0": " ", "\u202f": " ", "\u2009": " ", "\N{MINUS SIGN}": "-"})


class CannotTell(ValueError):
    """`1,234`: thousands to one reader, a decimal to the next."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.in_thousands = Decimal(text.replace(",", ""))
        self.as_decimal = Decimal(text.replace(",", "."))
        super().__init__(text)


def parse_number(text: str) -> Decimal:
    """Read `1,5`, `1.5`, `1 234,5`, `1,234.5`; raise ValueError for anything else.

    A lone comma or point is the decimal sign; of several signs the last one is, unless
    it repeats, when it sets thousands apart. A lone comma before exactly three figures
    may be either, so it is not guessed; `0,125` and `1234,567` cannot be thousands.
    """
    text = text.translate(SPACES).strip()
    if len(text) > LONGEST or not text.isascii() or not SHAPE.fullmatch(text):
        raise ValueError(text)
    if TWO_READINGS.fullmatch(text):
        raise CannotTell(text)
    at = max(text.rfind(","), text.rfind("."))
    if at >= 0 and text.count(text[at]) > 1:
        at = -1
    whole, part = (text, "") if at < 0 else (text[:at], text[at + 1 :])
    if re.search(r"[.,' ]", whole) and not GROUPED.fullmatch(whole):
        raise ValueError(text)
    if part and not part.isdecimal():
        raise ValueError(text)
    digits = re.sub(r"[.,' ]", "", whole)
    return Decimal(f"{digits}.{part}" if part else digits)
