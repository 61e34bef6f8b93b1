"""Wire colour by function, with how sure the code of colours is."""

from dataclasses import dataclass
from itertools import pairwise

from electrical.core.errors import OutOfTable
from electrical.core.findings import RuleSet
from electrical.core.status import Clause
from electrical.core.tables.colours import ISO_CLAUSE, US_CLAUSE, colour_for

#: Ink for a drawn piece of cable, by the first colour word; classes of the stylesheet beside it.
INKS = {
    "red": "#C8201C",
    "yellow": "#F2C400",
    "brown": "#7A4A21",
    "grey": "#55595C",
    "orange": "#E5741B",
    "blue": "#1E3F94",
    "light-blue": "#7DB4E0",
    "green": "#2F7D3B",
    "violet": "#6B3FA0",
    "pink": "#E79AB4",
    "white": "#FFFFFF",
    "black": "#16181A",
}
#: Letters for a colour on a drawing, IEC 60757, from memory, to be checked.
LETTERS = {
    "red": "RD",
    "yellow": "YE",
    "brown": "BN",
    "grey": "GY",
    "orange": "OG",
    "blue": "BU",
    "light-blue": "BU",
    "green": "GN",
    "violet": "VT",
    "pink": "PK",
    "white": "WH",
    "black": "BK",
}
WORDS = {"dark grey": "grey", "dark blue": "blue", "light blue": "light-blue", "purple": "violet"}


@dataclass(frozen=True)
class WireColour:
    word: str
    css: str
    ink: str
    clause: Clause

    @property
    def letters(self) -> str:
        return LETTERS.get(self.css, "")


def wire_colour(function_words: str, rule_set: RuleSet, *, has_mains: bool = False) -> WireColour:
    """Colour of the positive conductor; red where the code has no row for the function."""
    try:
        word = colour_for(function_words, rule_set, has_mains=has_mains)
    except OutOfTable:
        word = "red"
    return colour_named(word, US_CLAUSE if rule_set is RuleSet.US else ISO_CLAUSE)


def colour_named(word: str, clause: Clause) -> WireColour:
    css = WORDS.get(word) or next((WORDS.get(w, w) for w in colour_names(word)), "red")
    return WireColour(word=word, css=css, ink=INKS.get(css, INKS["red"]), clause=clause)


def colour_names(word: str) -> list[str]:
    """Names in a colour text such as "yellow or brown w/ yellow stripe", the first first."""
    first_words = word.lower().replace(",", " ").split()
    pairs = [" ".join(pair) for pair in pairwise(first_words)]
    return [name for name in (*pairs, *first_words) if name in WORDS or name in INKS]
