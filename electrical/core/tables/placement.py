"""How far from its supply a protective device may sit, by rule set.

US: 33 CFR 183.455(b), seven inches, or 40 inches where the conductor is in a sheath or
enclosure all the way. ISO: 200 mm, or sheathed 1.8 m from a battery, from memory;
charging sources 1.8 m by ISO 13297:2020, 12.3 (extract).
"""

from dataclasses import dataclass

from electrical.core.findings import RuleSet
from electrical.core.status import Clause, SourceStatus
from electrical.core.tables.constants import INCH_M

US_CLAUSE = Clause(source="33 CFR 183.455", clause="(b)", status=SourceStatus.READ)
ISO_CLAUSE = Clause(
    source="ISO 10133:2012", clause="8.2, place of protection", status=SourceStatus.MEMORY
)
CHARGING_CLAUSE = Clause(source="ISO 13297:2020", clause="12.3", status=SourceStatus.SECOND_HAND)

US_OPEN_M = 7 * INCH_M
US_SHEATHED_M = 40 * INCH_M
ISO_OPEN_M = 0.2
ISO_SHEATHED_BATTERY_M = 1.8
ISO_SHEATHED_OTHER_M = 1.0
CHARGING_M = 1.8


@dataclass(frozen=True, kw_only=True)
class PlacementLimit:
    """Longest unprotected conductor.

    Parameters
    ----------
    open_m : float
        Without sheath or enclosure [m].
    sheathed_m : float
        In a sheath or enclosure all the way [m].
    clause : Clause
        Source and status.
    """

    open_m: float
    sheathed_m: float
    clause: Clause


def placement_limit(
    rule_set: RuleSet, *, from_battery: bool, from_charging_source: bool
) -> PlacementLimit:
    """Return how far from its supply a protective device may sit.

    Parameters
    ----------
    rule_set : RuleSet
        Which rules decide.
    from_battery : bool
        The conductor starts at a battery terminal.
    from_charging_source : bool
        The conductor starts at a charging source.

    Returns
    -------
    PlacementLimit
        Both limits [m].

    References
    ----------
    .. [1] 33 CFR 183.455(b).
    .. [2] ISO 13297:2020, 12.3.
    """
    if rule_set is RuleSet.US:
        return PlacementLimit(open_m=US_OPEN_M, sheathed_m=US_SHEATHED_M, clause=US_CLAUSE)
    if from_charging_source:
        return PlacementLimit(open_m=CHARGING_M, sheathed_m=CHARGING_M, clause=CHARGING_CLAUSE)
    sheathed_m = ISO_SHEATHED_BATTERY_M if from_battery else ISO_SHEATHED_OTHER_M
    return PlacementLimit(open_m=ISO_OPEN_M, sheathed_m=sheathed_m, clause=ISO_CLAUSE)
