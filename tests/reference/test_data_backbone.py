"""The data backbone's limits, IEC 61162-3, second-hand, and copper's own word on cable."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from electrical.core.backbone import load_units
from electrical.core.status import SourceStatus
from electrical.core.tables import data_backbone, gauge
from electrical.core.tables.constants import RHO_CU_20_OHM_MM2_PER_M
from electrical.core.tables.data_backbone import GRADES, Grade

CASES = tomllib.loads((Path(__file__).parent / "cases" / "data_backbone.toml").read_text())


@pytest.mark.parametrize("case", CASES["limit"], ids=lambda c: c["name"])
def test_limit_is_the_printed_one(case: dict[str, Any]) -> None:
    assert getattr(data_backbone, case["name"]) == case["printed"]


@pytest.mark.parametrize("case", CASES["grade"], ids=lambda c: c["name"])
def test_grade_is_the_printed_one(case: dict[str, Any]) -> None:
    grade = GRADES[Grade(case["name"])]
    assert grade.max_length_m == case["max_length_m"]
    assert grade.max_current_a == case["max_current_a"]


@pytest.mark.parametrize("case", CASES["load_units"])
def test_load_units_round_up_as_printed(case: dict[str, Any]) -> None:
    assert load_units(case["current_ma"]) == case["printed"]


@pytest.mark.parametrize("grade", list(Grade))
def test_resistance_is_that_of_copper_of_its_gauge(grade: Grade) -> None:
    """57 mΩ/m is 22 AWG and 8 % for strands; a guide that prints a tenth of it is wrong."""
    mils = gauge.circular_mils(GRADES[grade].power_gauge)
    area_mm2 = mils * 5.067e-4
    solid_ohm_per_100m = 100.0 * RHO_CU_20_OHM_MM2_PER_M / area_mm2
    assert 1.0 <= GRADES[grade].ohm_per_100m / solid_ohm_per_100m < 1.10
    assert GRADES[grade].least_ohm_per_100m < solid_ohm_per_100m


def test_nothing_is_claimed_as_read_in_the_standard() -> None:
    clauses = [v for k, v in vars(data_backbone).items() if k.endswith("_CLAUSE")]
    assert clauses
    assert all(clause.status is not SourceStatus.READ for clause in clauses)
