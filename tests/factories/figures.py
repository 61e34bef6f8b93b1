"""Whether what is told of a figure gives that figure: sums added up, arithmetic carried out."""

import math
import re

from electrical.core.findings import Finding
from electrical.reckoning import WAYS
from electrical.reckoning.case import Case, How

ARITHMETIC = re.compile(r"^[\d .e+−×÷^²()π-]+$")
PYTHON = str.maketrans({"−": "-", "×": "*", "÷": "/", "^": "@", "²": "@2", "π": "p"})


def figure_of(how: How) -> float | None:
    """What it comes to; None where it is told in words."""
    if how.formula.startswith("sum of") and how.parts:
        return sum(figure for _name, figure, _unit in how.parts)
    if not ARITHMETIC.match(how.formula):
        return None
    text = how.formula.translate(PYTHON).replace("@", "**").replace("p", str(math.pi))
    return float(eval(text, {"__builtins__": {}}))  # noqa: S307 - digits and signs only


def wrong(finding: Finding, ways: tuple[How, How | None]) -> list[str]:
    """Figures that do not follow from what is told; every printed factor is rounded."""
    told = ((finding.value, ways[0]), (finding.limit, ways[1]))
    found = []
    for figure, how in told:
        if (figure is None) != (how is None):
            found.append(f"{finding.rule_id}: {figure} is told as {how}")
        if figure is None or how is None:
            continue
        comes_to = figure_of(how)
        if comes_to is not None and not math.isclose(comes_to, figure, rel_tol=3e-3, abs_tol=2e-3):
            found.append(f"{finding.rule_id}: {how.formula} is {comes_to}, not {figure}")
        if not how.formula or not how.source:
            found.append(f"{finding.rule_id}: no way or no source for {figure}")
    return found


def ways_of(case: Case) -> tuple[How, How | None]:
    return WAYS[case.finding.rule_id](case)
