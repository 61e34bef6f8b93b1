"""Every rule of the check: computing is elsewhere, judging is here."""

from collections.abc import Iterable

from electrical.core.facts import CircuitFacts
from electrical.core.findings import Finding
from electrical.core.rules import (
    boards,
    colours,
    conductors,
    earthing,
    faults,
    hazards,
    links,
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
    *boards.RULES,
    *points.RULES,
    *links.RULES,
    *sharing.RULES,
    *earthing.RULES,
    *colours.RULES,
    *hazards.RULES,
)


def circuit_findings(
    facts: CircuitFacts, rules: Iterable[CircuitRule] = CIRCUIT_RULES
) -> list[Finding]:
    """Return what rules say about one circuit, each device at its own end.

    Parameters
    ----------
    facts : CircuitFacts
        The circuit.
    rules : Iterable of CircuitRule
        The rules to ask; all of them unless told.

    Returns
    -------
    list of Finding
        Passes included.
    """
    found: list[Finding] = []
    far = facts.far
    for rule in rules:
        found += rule.judge(rule, facts)
        if far is not None and rule.is_per_device:
            found += [f._replace(at_far_end=True) for f in rule.judge(rule, far)]
    return found
