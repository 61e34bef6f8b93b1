"""ISO 13297:2020 12.3 and ISO 10133:2012 7.7, from extracts."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from electrical.core.design import CircuitRole, OperatingState, Route
from electrical.core.findings import RuleSet, Severity
from electrical.core.parts import Cable, Protection
from electrical.core.sizes import mm2
from electrical.core.sources import SourceKind
from electrical.core.status import SourceStatus
from electrical.core.tables.placement import placement_limit
from tests.unit.core.designs import battery, branch, design, feeder, lamp
from tests.unit.core.verdicts import check, severity

CASES = tomllib.loads((Path(__file__).parent / "cases" / "iso13297.toml").read_text())


def charging_design(
    *, distance_m: float | None, limit_a: float = 30.0, limits_itself: bool | None = True
) -> Any:
    charger = battery(
        id="charger",
        label="Charger",
        kind=SourceKind.CHARGER,
        max_output_a=limit_a,
        limits_itself=limits_itself,
    )
    device = None if distance_m is None else Protection(rating_a=40.0, distance_m=distance_m)
    lead = feeder(
        id="CH",
        label="Charger lead",
        from_id="charger",
        to_id="house",
        role=CircuitRole.CHARGING,
        cable=Cable(size=mm2(10)),
        route=Route(length_m=3.0),
        protection=device,
    )
    return design(
        lead,
        sources=(battery(), charger),
        states=(OperatingState(id="shore", label="shore", charging=True),),
    )


@pytest.mark.parametrize("case", CASES["charging"], ids=lambda c: f"{c['distance_m']} m")
def test_charging_sources_have_their_device_near(case: dict[str, Any]) -> None:
    net = charging_design(distance_m=case["distance_m"])
    found = check(net, "placement", "CH")
    assert found.severity is Severity(case["severity"])
    assert found.clause.status is SourceStatus.SECOND_HAND


def test_self_limiting_sources_are_excepted() -> None:
    assert severity(charging_design(distance_m=None), "protected", "CH") is Severity.PASS
    too_large = charging_design(distance_m=None, limit_a=90.0)
    assert severity(too_large, "protected", "CH") is Severity.STOP


def test_only_a_source_that_is_told_to_limit_itself_is_excepted() -> None:
    told_not = check(charging_design(distance_m=None, limits_itself=False), "protected", "CH")
    assert told_not.severity is Severity.STOP
    assert told_not.message == (
        "Charger lead has no protective device, and Charger does not limit its own output."
    )
    untold = check(charging_design(distance_m=None, limits_itself=None), "protected", "CH")
    assert untold.severity is Severity.CANNOT_TELL
    assert untold.missing == ("word of its maker whether Charger limits its own output",)
    too_large = charging_design(distance_m=None, limit_a=90.0, limits_itself=None)
    assert severity(too_large, "protected", "CH") is Severity.STOP


def test_the_us_rule_set_keeps_its_own_distance() -> None:
    limit = placement_limit(RuleSet.US, from_battery=False, from_charging_source=True)
    assert limit.sheathed_m == pytest.approx(1.016)
    assert limit.clause.status is SourceStatus.READ


@pytest.mark.parametrize("case", CASES["least_size"], ids=lambda c: f"{c['mm2']} {c['sheathed']}")
def test_the_least_conductor(case: dict[str, Any]) -> None:
    cable = Cable(size=mm2(case["mm2"]), sheathed=case["sheathed"])
    run = branch(cable=cable, loads=(lamp(current_a=0.5),))
    found = check(design(feeder(), run), "least-size", "C1")
    assert found.severity is Severity(case["severity"])
    assert found.clause.status is SourceStatus.SECOND_HAND
