"""33 CFR 183.410 and 183.420: ignition protection and batteries."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from electrical.core.findings import RuleSet, Severity
from electrical.core.parts import Place
from electrical.core.sources import Chemistry
from electrical.core.status import SourceStatus
from tests.unit.core.designs import battery, branch, design, feeder, lamp
from tests.unit.core.verdicts import check, checks

CASES = tomllib.loads((Path(__file__).parent / "cases" / "cfr183_410_420.toml").read_text())


@pytest.mark.parametrize("case", CASES["ignition"], ids=str)
def test_parts_in_petrol_spaces_do_not_ignite_it(case: dict[str, Any]) -> None:
    place = Place(id="E", label="Engine well", petrol_vapour=case["in_petrol_space"])
    blower = lamp(id="BL", place=place, ignition_protected=case["ignition_protected"])
    net = design(feeder(), branch(loads=(blower,)), rule_set=RuleSet.US)
    found = checks(net, "ignition", "BL")
    assert [f.severity.value for f in found] == (
        [] if case["severity"] == "nothing" else [case["severity"]]
    )
    assert all(f.clause.status is SourceStatus.READ for f in found)


@pytest.mark.parametrize("case", CASES["held"], ids=str)
def test_batteries_are_held(case: dict[str, Any]) -> None:
    found = check(design(sources=(battery(fastened=case["fastened"]),)), "battery-held")
    assert found.severity is Severity(case["severity"])
    assert str(found.clause) == "33 CFR 183.420, (a)"


@pytest.mark.parametrize("case", CASES["gas"], ids=str)
def test_battery_gas_is_let_out(case: dict[str, Any]) -> None:
    place = Place(id="L", label="Locker", ventilated=case["ventilated"])
    bank = battery(place=place, sealed=case["sealed"], chemistry=Chemistry.FLOODED)
    found = check(design(sources=(bank,)), "battery-gas")
    assert found.severity is Severity(case["severity"])
    assert str(found.clause) == "33 CFR 183.420, (e)"


def test_a_battery_beside_petrol_is_told_what_the_regulation_asks() -> None:
    place = Place(id="E", label="Engine well", petrol_vapour=True)
    found = check(design(sources=(battery(place=place),)), "near-fuel")
    assert found.severity is Severity.ATTENTION
    assert str(found.clause) == "33 CFR 183.420, (c), (d)"
