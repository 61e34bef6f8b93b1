"""ABYC E-11 Tables XIV and XV, and ISO 10133: d.c. conductor colours.

The US column is second-hand, two copies that agree; of the ISO column only the
negative is second-hand, the rest from memory. ISO leaves the function colours free.
"""

from electrical.core.errors import OutOfTable
from electrical.core.findings import RuleSet
from electrical.core.status import Clause, SourceStatus

US_CLAUSE = Clause(source="ABYC E-11", clause="Tables XIV and XV", status=SourceStatus.SECOND_HAND)
ISO_CLAUSE = Clause(
    source="ISO 10133:2012", clause="conductor identification", status=SourceStatus.MEMORY
)

#: (US, ISO) colour by function; an empty ISO colour means it is left free.
COLOURS: dict[str, tuple[str, str]] = {
    "positive mains": ("red", "red"),
    "negative / return": ("black or yellow (or black w/ yellow stripe)", "black or yellow"),
    "bonding / grounding": ("green or green w/ yellow stripe", "green or green w/ yellow stripe"),
    "starting circuit": ("yellow w/ red stripe", ""),
    "bilge blower": ("yellow or brown w/ yellow stripe", ""),
    "navigation lights": ("dark grey", ""),
    "tachometer": ("dark grey", ""),
    "pumps": ("brown", ""),
    "alternator charge light": ("brown", ""),
    "generator armature": ("brown", ""),
    "accessory / common feed": ("orange", ""),
    "ignition": ("purple", ""),
    "instrument feed": ("purple", ""),
    "cabin and instrument lights": ("dark blue", ""),
    "oil pressure sender": ("light blue", ""),
    "water temperature sender": ("tan", ""),
    "fuel gauge sender": ("pink", ""),
    "tilt down / trim in": ("green w/ stripe (not yellow)", ""),
    "tilt up / trim out": ("blue w/ stripe", ""),
}
FUNCTIONS = tuple(COLOURS)
#: Other names of a colour.
_ALIASES = {"purple": "violet"}
_LINKS = {"with", "and", "stripe"}


def colour_for(function: str, rule_set: RuleSet, *, has_mains: bool = False) -> str:
    """Return the insulation colour for a function.

    Parameters
    ----------
    function : str
        One of `FUNCTIONS`.
    rule_set : RuleSet
        Which code decides; where ISO leaves it free, the US colour is used.
    has_mains : bool
        Mains is fitted as well: yellow is then the only d.c. negative.

    Returns
    -------
    str
        Colour in words.

    Raises
    ------
    OutOfTable
        If the function is not in the code.

    Notes
    -----
    Black is avoided for the d.c. negative beside mains because both codes allow
    black for a live mains conductor.
    """
    if function not in COLOURS:
        raise OutOfTable(
            table="Colour code", asked=function or "an unnamed function", holds=", ".join(FUNCTIONS)
        )
    if has_mains and function.startswith("negative"):
        return "yellow"
    us_colour, iso_colour = COLOURS[function]
    return iso_colour if rule_set is RuleSet.ISO and iso_colour else us_colour


def named(function: str, rule_set: RuleSet) -> tuple[str, ...]:
    """Return the colours printed for a function, each by itself.

    Parameters
    ----------
    function : str
        One of `FUNCTIONS`; any other is fed like a positive main.
    rule_set : RuleSet
        Which code decides.

    Returns
    -------
    tuple of str
        Colours in words.
    """
    return tuple(_ALIASES.get(name, name) for name in _words(function, rule_set).split(" or "))


def _words(function: str, rule_set: RuleSet) -> str:
    known = function if function in COLOURS else "positive mains"
    return colour_for(known, rule_set)


def is_negative(colour: str) -> bool:
    """Return whether a colour is the negative's: black or yellow, or both.

    Parameters
    ----------
    colour : str
        Colour in words.

    Returns
    -------
    bool
        False for yellow with a red stripe, which is a starting circuit's.
    """
    names = set(colour.lower().replace("w/", "with").split()) - _LINKS
    return bool(names) and names <= {"black", "yellow"}


def is_bonding(colour: str) -> bool:
    """Return whether a colour is that of bonding: green, or green and yellow.

    Parameters
    ----------
    colour : str
        Colour in words.

    Returns
    -------
    bool
        False for green with a stripe of another colour.
    """
    names = set(colour.lower().replace("w/", "with").split()) - _LINKS
    return "green" in names and names <= {"green", "yellow"}
