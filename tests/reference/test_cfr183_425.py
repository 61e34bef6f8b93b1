"""33 CFR 183.425 Table 5 with its notes: allowable amperage of conductors in boats."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from electrical.core.ampacity import Surroundings, ambient_factor, ampacity
from electrical.core.errors import OutOfTable
from electrical.core.findings import RuleSet
from electrical.core.parts import Cable
from electrical.core.sizes import awg
from electrical.core.status import SourceStatus
from electrical.core.tables import cfr183_425

CASES = tomllib.loads((Path(__file__).parent / "cases" / "cfr183_425.toml").read_text())


@pytest.mark.parametrize("case", CASES["cell"], ids=lambda c: f"{c['gauge']} {c['insulation_c']}")
def test_cells_are_as_printed(case: dict[str, Any]) -> None:
    found = cfr183_425.allowable_a(gauge=case["gauge"], insulation_c=case["insulation_c"])
    assert found == case["printed_a"]


@pytest.mark.parametrize("case", CASES["engine"], ids=lambda c: c["gauge"])
def test_engine_space_amperage_is_as_printed(case: dict[str, Any]) -> None:
    cable = Cable(size=awg(case["gauge"]), insulation_c=case["insulation_c"])
    found = ampacity(
        cable=cable, rule_set=RuleSet.US, around=Surroundings(in_engine_space=True)
    ).deciding
    assert found.corrected_a == pytest.approx(case["printed_a"], abs=case["tolerance_a"])
    assert found.clause.status == SourceStatus(case["status"])


@pytest.mark.parametrize("case", CASES["note_1"], ids=lambda c: str(c["insulation_c"]))
def test_engine_factors_follow_the_heat_balance(case: dict[str, Any]) -> None:
    """An independent witness for rows known from memory: the heat balance at 50 °C.

    Tolerance: half of the last printed digit, plus the same again because the printed
    factors were rounded by their authors from a formula that is not published with them.
    """
    factor, clause = cfr183_425.engine_space_factor(case["insulation_c"])
    computed = ambient_factor(insulation_c=case["insulation_c"], ambient_c=50.0)
    assert factor == case["printed"]
    assert clause.status == SourceStatus(case["status"])
    assert computed == pytest.approx(case["printed"], abs=0.01)


@pytest.mark.parametrize("case", CASES["note_2"], ids=lambda c: str(c["conductors"]))
def test_bundle_factors_are_as_printed(case: dict[str, Any]) -> None:
    assert cfr183_425.bundle_factor(case["conductors"]) == case["printed"]


def test_two_conductors_are_no_bundle() -> None:
    assert cfr183_425.bundle_factor(2) == 1.0


@pytest.mark.parametrize(
    ("insulation_c", "column"), [(60, 60), (70, 60), (85, 80), (110, 105), (150, 125), (200, 200)]
)
def test_a_rating_without_a_column_takes_the_next_lower_one(insulation_c: int, column: int) -> None:
    assert cfr183_425.column_for(insulation_c) == column


def test_the_table_is_never_extended() -> None:
    with pytest.raises(OutOfTable) as error:
        cfr183_425.allowable_a(gauge="20", insulation_c=105)
    assert str(error.value) == (
        "33 CFR 183.425, Table 5 has no entry for 20 AWG; it holds 18 to 4/0 AWG."
    )
    with pytest.raises(OutOfTable):
        cfr183_425.allowable_a(gauge="10", insulation_c=59)
