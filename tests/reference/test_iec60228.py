"""IEC 60228: maximum resistance of copper conductors at 20 °C."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from electrical.core.conductors import at_temperature, resistance
from electrical.core.errors import OutOfTable
from electrical.core.parts import Cable, CableConstruction
from electrical.core.sizes import mm2
from electrical.core.tables import iec60228
from electrical.core.tables.constants import RHO_CU_20_OHM_MM2_PER_M

CASES = tomllib.loads((Path(__file__).parent / "cases" / "iec60228.toml").read_text())


@pytest.mark.parametrize("case", CASES["case"], ids=lambda c: f"{c['conductor']} {c['mm2']:g}")
def test_resistances_are_as_printed(case: dict[str, Any]) -> None:
    kind = CableConstruction(case["conductor"])
    for tinned, key in ((False, "plain_ohm_per_km"), (True, "tinned_ohm_per_km")):
        if key in case:
            found = iec60228.max_r20_ohm_per_km(mm2=case["mm2"], construction=kind, tinned=tinned)
            assert found == case[key]


def test_coated_class_1_has_no_value_from_25_mm2() -> None:
    with pytest.raises(OutOfTable, match="25 mm², metal-coated"):
        iec60228.max_r20_ohm_per_km(mm2=25, construction=CableConstruction.SOLID, tinned=True)


def test_a_size_between_two_rows_is_refused() -> None:
    with pytest.raises(OutOfTable, match="no entry for 3 mm²"):
        iec60228.max_r20_ohm_per_km(mm2=3, construction=CableConstruction.FLEXIBLE, tinned=True)


def test_printed_maxima_lie_above_pure_copper() -> None:
    """NBS Handbook 100: annealed copper, 1/58 Ω·mm²/m at 20 °C.

    The maximum of a class allows for lay, tolerance and coating, so it lies above the
    resistance of the nominal area. The standard's areas are nominal: for large class 2
    and class 5 conductors the printed maximum dips under it, by 5 % at the most.
    """
    for table in (iec60228.CLASS_1, iec60228.CLASS_2, iec60228.CLASS_5):
        for size, (plain, _coated) in table.items():
            assert plain > 0.95 * RHO_CU_20_OHM_MM2_PER_M / size * 1000


def test_a_hot_run_of_10_metres_in_2_5_mm2() -> None:
    """2 · 10 m · 8.21 Ω/km · (1 + 0.00393 · 40) = 0.1900 Ω, by hand."""
    run = resistance(cable=Cable(size=mm2(2.5)), length_m=10.0, conductor_temp_c=60.0)
    assert run.loop_r_ohm == pytest.approx(0.19001, abs=5e-6)
    assert at_temperature(r20_ohm=8.21, temp_c=20.0) == 8.21
