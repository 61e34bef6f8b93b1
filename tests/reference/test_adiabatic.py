"""What a conductor stands in a short circuit: the k of BS 7671 Table 43.1, second-hand."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from electrical.core.parts import Cable
from electrical.core.protection import adiabatic_k, withstand_i2t_a2s
from electrical.core.sizes import mm2

FILE = tomllib.loads((Path(__file__).parent / "cases" / "adiabatic.toml").read_text())


@pytest.mark.parametrize("case", FILE["case"], ids=str)
def test_the_constant_is_the_printed_one(case: dict[str, Any]) -> None:
    found = adiabatic_k(case["insulation_c"], is_thermosetting=case["thermosetting"])
    assert found == pytest.approx(case["k"], abs=0.5)


def test_insulation_of_unknown_kind_is_taken_for_what_stands_less() -> None:
    assert adiabatic_k(90) == adiabatic_k(90, is_thermosetting=False)
    assert adiabatic_k(105) < adiabatic_k(90) < adiabatic_k(70)
    assert adiabatic_k(125) == adiabatic_k(125, is_thermosetting=True)


def test_energy_goes_with_the_square_of_the_area() -> None:
    """100² · 2.5² = 62 500 A²s for 90 °C thermoplastic, within the rounding of k."""
    thin, thick = (withstand_i2t_a2s(Cable(size=mm2(s), insulation_c=90)) for s in (2.5, 5.0))
    assert thin == pytest.approx(62_500, rel=0.01)
    assert thick == pytest.approx(4.0 * thin)
