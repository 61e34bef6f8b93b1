"""The rules a choice of cable and device answers for, and those only wished for."""

from collections.abc import Iterable

from electrical.core.facts import CircuitFacts
from electrical.core.findings import Finding, Severity
from electrical.core.rules import CIRCUIT_RULES, circuit_findings

#: Rules a choice of cable and device answers for. "selective" is wished for, not asked.
ASKED_RULES = frozenset(
    {
        "ampacity",
        "drop",
        "working-voltage",
        "least-size",
        "engine-insulation",
        "protected",
        "rating",
        "load-on-device",
        "motor-start",
        "locked-rotor",
        "both-ends",
        "device-voltage",
        "breaking",
        "withstand",
        "clears",
    }
)
#: Rules that may end with "attention", and say so, when nothing holds them all: a device
#: that need not open on a locked rotor, may open during a start, or breaks the fault only
#: together with the one ahead of it.
WISHED_RULES = frozenset({"locked-rotor", "motor-start", "breaking"})


def broken_rules(facts: CircuitFacts, asked: frozenset[str] = ASKED_RULES) -> tuple[Finding, ...]:
    """Return what a choice breaks: stops and attentions of the rules it answers for.

    Parameters
    ----------
    facts : CircuitFacts
        The run with the choice made.
    asked : frozenset of str
        Rules that must hold, or are wished for.

    Returns
    -------
    tuple of Finding
        Empty when every rule holds. "Cannot tell" does not count against a choice.
    """
    return tuple(
        finding
        for finding in circuit_findings(facts, [r for r in CIRCUIT_RULES if r.id in asked])
        if finding.severity in {Severity.STOP, Severity.ATTENTION}
    )


def is_wish(finding: Finding) -> bool:
    """Return whether a broken rule is only wished for, and so may be given up.

    Parameters
    ----------
    finding : Finding
        What a choice breaks.

    Returns
    -------
    bool
        True for an attention of a rule that is only wished for.
    """
    return finding.severity is not Severity.STOP and finding.rule_id in WISHED_RULES


def given_up(broken: Iterable[Finding]) -> int | None:
    """Return how much a choice gives up that is only wished for.

    Parameters
    ----------
    broken : Iterable of Finding
        What the choice breaks.

    Returns
    -------
    int or None
        How many findings; None when it breaks anything that is not only wished for.
    """
    wishes = [is_wish(finding) for finding in broken]
    return len(wishes) if all(wishes) else None
