"""COLREG 1972: ranges (Rule 22) and intensities (Annex I section 8) of lights."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from electrical.core.errors import BadInput, OutOfTable
from electrical.core.tables.nav_lights import min_intensity_cd, min_range_nm

CASES = tomllib.loads((Path(__file__).parent / "cases" / "colreg.toml").read_text())


@pytest.mark.parametrize("case", CASES["range"], ids=lambda c: f"{c['length_m']} {c['light']}")
def test_ranges_are_as_printed(case: dict[str, Any]) -> None:
    found = min_range_nm(length_m=case["length_m"], light=case["light"])
    assert found == case["printed_nm"]


@pytest.mark.parametrize("case", CASES["intensity"], ids=lambda c: f"{c['range_nm']} nm")
def test_intensities_are_as_printed(case: dict[str, Any]) -> None:
    found = min_intensity_cd(case["range_nm"])
    assert found == pytest.approx(case["printed_cd"], abs=case["half_digit"])


def test_lights_the_rule_does_not_name_are_refused() -> None:
    with pytest.raises(OutOfTable, match="a disco light"):
        min_range_nm(length_m=8.0, light="disco")
    with pytest.raises(BadInput, match="Length: 0 m must be above 0 m"):
        min_range_nm(length_m=0.0, light="stern")
