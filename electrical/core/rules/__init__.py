"""Every rule of the check: computing is elsewhere, judging is here."""

from electrical.core.rules import (
    colours,
    conductors,
    earthing,
    faults,
    hazards,
    placement,
    points,
    protection,
    sharing,
    switching,
)
from electrical.core.rules.registry import CircuitRule, DesignRule

CIRCUIT_RULES: tuple[CircuitRule, ...] = (
    *conductors.RULES,
    *protection.RULES,
    *placement.RULES,
    *faults.RULES,
    *switching.RULES,
    *hazards.CIRCUIT_RULES,
)
DESIGN_RULES: tuple[DesignRule, ...] = (
    *points.RULES,
    *sharing.RULES,
    *earthing.RULES,
    *colours.RULES,
    *hazards.RULES,
)
