"""Limits of the data backbone, IEC 61162-3.

The standard itself was not at hand: values come from makers' manuals that agree
and from a forum's quotation of a training presentation, so all are second-hand.
Where documents differ the stricter value stands here.
"""

from dataclasses import dataclass
from enum import StrEnum

from electrical.core.status import Clause, SourceStatus

_SOURCE = "IEC 61162-3"


def _second_hand(clause: str) -> Clause:
    return Clause(source=_SOURCE, clause=clause, status=SourceStatus.SECOND_HAND)


LENGTH_CLAUSE = _second_hand("length by grade of cable")
CURRENT_CLAUSE = _second_hand("current by grade of cable")

LOAD_UNIT_A = 0.05
LOAD_UNIT_CLAUSE = _second_hand("load unit of 50 mA, rounded up")

MAX_DEVICE_A = 1.0
MAX_DEVICE_CLAUSE = _second_hand("1 A from the backbone for one device")

MAX_NODES = 50
MAX_NODES_CLAUSE = _second_hand("50 physical nodes")

MAX_DROP_LENGTH_M = 6.0
MAX_DROP_LENGTH_CLAUSE = _second_hand("6 m for one drop")

MAX_DROPS_TOGETHER_M = 78.0
MAX_DROPS_TOGETHER_CLAUSE = _second_hand("78 m for all drops together")

TERMINATORS = 2
TERMINATORS_CLAUSE = _second_hand("one terminator at each end, none elsewhere")

TERMINATOR_OHM = 120.0
TERMINATOR_CLAUSE = Clause(source=_SOURCE, clause="terminator", status=SourceStatus.MEMORY)

MIN_SUPPLY_V = 9.0
MAX_SUPPLY_V = 16.0
SUPPLY_WINDOW_CLAUSE = _second_hand("9 V to 16 V at every device")

MAX_DROP_V = 1.5
MAX_DROP_CLAUSE = _second_hand("1.5 V from the supply to the furthest device, 12 V battery supply")

SUPPLIES = 1
SUPPLIES_CLAUSE = _second_hand("one supply point for each separately powered part")

SHIELD_GROUNDS = 1
SHIELD_CLAUSE = _second_hand("shield grounded at one point, at the supply")

DROP_FORMULA_CLAUSE = _second_hand("V = 0.1 × LEN × L × R / 100")


class Grade(StrEnum):
    """Grade of backbone cable."""

    LIGHT = "light"
    MID = "mid"
    HEAVY = "heavy"


@dataclass(frozen=True, kw_only=True)
class GradeData:
    """Limits and data of one grade of cable.

    Parameters
    ----------
    max_length_m : float
        Largest length of a backbone of this grade [m].
    max_current_a : float
        Largest current in any segment [A].
    power_gauge : str
        Gauge of the two power conductors.
    ohm_per_100m : float
        Typical resistance of one power conductor [ohm per 100 m].
    least_ohm_per_100m : float
        Below this the figure can not be true for such a cable [ohm per 100 m].
    length_clause, current_clause, resistance_clause : Clause
        Where they come from.
    """

    max_length_m: float
    max_current_a: float
    power_gauge: str
    ohm_per_100m: float
    least_ohm_per_100m: float
    length_clause: Clause
    current_clause: Clause
    resistance_clause: Clause


GRADES: dict[Grade, GradeData] = {
    Grade.LIGHT: GradeData(
        max_length_m=100.0,
        max_current_a=3.0,
        power_gauge="22",
        ohm_per_100m=5.7,
        least_ohm_per_100m=1.0,
        length_clause=_second_hand("100 m of light cable"),
        current_clause=_second_hand("3 A in light cable"),
        resistance_clause=_second_hand("light cable, 57 mΩ per metre"),
    ),
    Grade.MID: GradeData(
        max_length_m=200.0,
        max_current_a=4.0,
        power_gauge="16",
        ohm_per_100m=1.32,
        least_ohm_per_100m=0.66,
        length_clause=_second_hand("200 m of mid cable; some documents say 250 m"),
        current_clause=_second_hand("4 A in mid cable with small connectors"),
        resistance_clause=Clause(
            source="ASTM B258", clause="16 AWG, computed", status=SourceStatus.SECOND_HAND
        ),
    ),
    Grade.HEAVY: GradeData(
        max_length_m=200.0,
        max_current_a=8.0,
        power_gauge="16",
        ohm_per_100m=1.32,
        least_ohm_per_100m=0.66,
        length_clause=_second_hand("200 m of heavy cable; some documents say 250 m"),
        current_clause=_second_hand("8 A in heavy cable"),
        resistance_clause=Clause(
            source="ASTM B258", clause="16 AWG, computed", status=SourceStatus.SECOND_HAND
        ),
    ),
}
