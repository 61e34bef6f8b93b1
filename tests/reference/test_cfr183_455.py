"""33 CFR 183.455: where protective devices sit, and how large they may be."""

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from electrical.core.check import check_design
from electrical.core.findings import RuleSet, Severity
from electrical.core.parts import Cable, Protection
from electrical.core.sizes import awg
from electrical.core.tables.constants import INCH_M
from tests.unit.core.designs import branch, design, feeder

CASES = tomllib.loads((Path(__file__).parent / "cases" / "cfr183_455.toml").read_text())


def verdict(rule_id: str, circuit_id: str, *circuits: Any) -> Severity:
    result = check_design(design(*circuits, rule_set=RuleSet.US))
    checks = result.circuits[circuit_id].checks
    return next(check.severity for check in checks if check.rule_id == rule_id)


@pytest.mark.parametrize("case", CASES["placement"], ids=lambda c: f"{c['limit_in']:g} in")
def test_the_device_is_no_farther_than_printed(case: dict[str, Any]) -> None:
    limit_m = case["limit_in"] * INCH_M
    for distance_m, expected in ((limit_m, Severity.PASS), (limit_m + 0.001, Severity.STOP)):
        base = feeder(cable=Cable(size=awg("2"), sheathed=case["sheathed"]))
        assert base.protection is not None
        lead = replace(base, protection=replace(base.protection, distance_m=distance_m))
        assert verdict("placement", "F1", lead, branch()) is expected


@pytest.mark.parametrize("case", CASES["rating"], ids=lambda c: f"{c['rating_a']:g} A")
def test_the_rating_is_no_larger_than_printed(case: dict[str, Any]) -> None:
    cable = Cable(size=awg(case["gauge"]), insulation_c=case["insulation_c"])
    run = branch(cable=cable, protection=Protection(rating_a=case["rating_a"]))
    assert verdict("rating", "C1", feeder(), run) is Severity(case["severity"])
