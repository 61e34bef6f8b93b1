"""ISO 8820: breaking capacity (scope) and preferred ratings of fuse-links."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from electrical.core.errors import OutOfTable
from electrical.core.parts import DeviceType
from electrical.core.tables.breaking_capacity import TYPICAL, typical_breaking
from electrical.core.tables.fuse_ratings import CLAUSE, RATINGS_A, ratings_a

CASES = tomllib.loads((Path(__file__).parent / "cases" / "iso8820.toml").read_text())


@pytest.mark.parametrize("case", CASES["breaking"], ids=lambda c: c["device"])
def test_breaking_capacity_is_as_in_the_scope(case: dict[str, Any]) -> None:
    found = typical_breaking(DeviceType(case["device"]), system_v=case["system_v"])
    assert found is not None
    assert found.breaking_a == case["printed_a"]
    assert found.clause.status.value == CASES["status"]


@pytest.mark.parametrize("case", CASES["ratings"], ids=lambda c: c["device"])
def test_preferred_ratings_are_as_remembered(case: dict[str, Any]) -> None:
    assert list(ratings_a(DeviceType(case["device"]))) == case["remembered_a"]
    assert CLAUSE.status.value == case["status"]


def test_a_device_is_never_taken_beyond_its_voltage() -> None:
    """A terminal-mount cube fuse breaks less at 32 V than at 14 V, and nothing is told at 60 V."""
    low, high = (typical_breaking(DeviceType.CUBE, system_v=volts) for volts in (12.0, 24.0))
    assert low is not None
    assert high is not None
    assert low.breaking_a > high.breaking_a
    assert typical_breaking(DeviceType.CUBE, system_v=60.0) is None
    assert typical_breaking(DeviceType.OTHER, system_v=12.0) is None


def test_every_table_ascends() -> None:
    for ratings in RATINGS_A.values():
        assert list(ratings) == sorted(set(ratings))
    for entries in TYPICAL.values():
        volts = [entry.rated_v for entry in entries]
        assert volts == sorted(volts)


def test_a_kind_without_a_series_is_refused() -> None:
    with pytest.raises(OutOfTable, match="Preferred ratings has no entry for other"):
        ratings_a(DeviceType.OTHER)
