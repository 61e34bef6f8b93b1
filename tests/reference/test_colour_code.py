"""Colours of d.c. conductors: ABYC E-11, and ISO where it says something."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from electrical.core.errors import OutOfTable
from electrical.core.findings import RuleSet
from electrical.core.tables.colours import FUNCTIONS, ISO_CLAUSE, US_CLAUSE, colour_for

FILE = tomllib.loads((Path(__file__).parent / "cases" / "colour_code.toml").read_text())


@pytest.mark.parametrize("case", FILE["case"], ids=lambda c: c["function"])
def test_colours_are_as_printed(case: dict[str, Any]) -> None:
    assert colour_for(case["function"], RuleSet.US) == case["us"]
    assert colour_for(case["function"], RuleSet.ISO) == case["iso"]


def test_the_status_is_told() -> None:
    assert US_CLAUSE.status.value == FILE["status"]
    assert FILE["iso_status"].startswith(ISO_CLAUSE.status.value)


def test_black_is_avoided_for_the_negative_beside_mains() -> None:
    for rule_set in RuleSet:
        assert colour_for("negative / return", rule_set, has_mains=True) == "yellow"
        assert colour_for("positive mains", rule_set, has_mains=True) == "red"


def test_functions_outside_the_code_are_refused() -> None:
    assert len(FUNCTIONS) > 15
    with pytest.raises(OutOfTable, match="Colour code has no entry for disco"):
        colour_for("disco", RuleSet.US)
