"""The closed drop formulas of the standards: ABYC E-11 and ISO 10133."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from electrical.core.conductors import area_mm2, max_r20_ohm_per_km
from electrical.core.drop import CMIL_PER_MM2, formula_circular_mils, iso_drop_v, us_drop_v
from electrical.core.errors import BadInput
from electrical.core.parts import Cable
from electrical.core.sizes import awg, mm2
from electrical.core.tables import gauge
from electrical.core.tables.constants import FOOT_M, RHO_CU_20_OHM_MM2_PER_M

CASES = tomllib.loads((Path(__file__).parent / "cases" / "us_drop.toml").read_text())


@pytest.mark.parametrize(
    "case", CASES["case"], ids=lambda c: f"{c['drop_pct']}% {c['current_a']}A {c['length_ft']}ft"
)
def test_the_us_formula_picks_the_printed_size(case: dict[str, Any]) -> None:
    limit_v = 12.0 * case["drop_pct"] / 100
    for size in gauge.MIN_CIRCULAR_MILS:
        found_v = us_drop_v(
            current_a=case["current_a"],
            length_m=case["length_ft"] / 2 * FOOT_M,
            circular_mils=formula_circular_mils(awg(size)),
        )
        if found_v <= limit_v:
            break
    assert size == case["printed"]


def test_the_us_constant_in_metric_units() -> None:
    """10.75 Ω·cmil/ft = 0.017871 Ω·mm²/m, 3.7 % above annealed copper at 20 °C."""
    drop_v = us_drop_v(current_a=1.0, length_m=0.5, circular_mils=CMIL_PER_MM2)
    assert drop_v == pytest.approx(0.017871, abs=5e-7)


def test_the_iso_formula_by_hand() -> None:
    """0.0164 · 10 A · 20 m / 2.5 mm² = 1.312 V (constant from memory, to be checked)."""
    assert iso_drop_v(current_a=10.0, length_m=10.0, size_mm2=2.5) == pytest.approx(1.312)


def test_the_iso_formula_is_below_cold_copper_and_may_not_decide() -> None:
    formula_v = iso_drop_v(current_a=1.0, length_m=0.5, size_mm2=1.0)
    assert formula_v / RHO_CU_20_OHM_MM2_PER_M == pytest.approx(0.951, abs=5e-4)


def test_the_deciding_resistance_is_above_both_formulas() -> None:
    for size in (mm2(1.5), mm2(4), mm2(10), mm2(35), awg("14"), awg("8")):
        per_m_v = max_r20_ohm_per_km(Cable(size=size))[0] / 1000 * 2
        assert per_m_v > iso_drop_v(current_a=1, length_m=1, size_mm2=area_mm2(size))
        assert per_m_v > 0.97 * us_drop_v(
            current_a=1, length_m=1, circular_mils=formula_circular_mils(size)
        )


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"current_a": -1.0}, "Current: -1 A must be 0 A or more."),
        ({"length_m": float("nan")}, "Length: nan m must be 0 m or more."),
        ({"size_mm2": 0.0}, "Size: 0 mm² must be above 0 mm²."),
    ],
)
def test_impossible_values_are_named(changes: dict[str, float], message: str) -> None:
    given = {"current_a": 1.0, "length_m": 1.0, "size_mm2": 1.0} | changes
    with pytest.raises(BadInput) as error:
        iso_drop_v(**given)
    assert str(error.value) == message
