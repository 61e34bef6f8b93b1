"""Check a design: compute everything, then judge it by every rule."""

from electrical.core.design import Design
from electrical.core.facts import gather
from electrical.core.findings import Finding
from electrical.core.results import DesignResult
from electrical.core.rules import DESIGN_RULES, circuit_findings
from electrical.core.rules.registry import DesignFacts
from electrical.core.tree import Tree


def check_design(design: Design) -> DesignResult:
    """Return everything computed about a design and what every rule says.

    Parameters
    ----------
    design : Design
        The design; anything that is not known is None in it.

    Returns
    -------
    DesignResult
        Results by circuit and operating state, and every check, passes included.
        Missing data gives "cannot tell"; nothing is guessed.
    """
    tree = Tree(design=design)
    circuits, voltages = gather(design, tree)
    results = {}
    checks: list[Finding] = []
    for circuit_id, facts in circuits.items():
        found = circuit_findings(facts)
        results[circuit_id] = facts.result(found)
        checks += found
    whole = DesignFacts(design=design, tree=tree, circuits=circuits, voltages=voltages)
    for rule in DESIGN_RULES:
        checks += rule.judge(rule, whole)
    return DesignResult(circuits=results, states=voltages.states, checks=tuple(checks))
