"""Wire gauge from its definition, and minimum circular mils of boat cable."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from electrical.core.conductors import area_mm2, max_r20_ohm_per_km
from electrical.core.errors import OutOfTable
from electrical.core.parts import Cable, CableConstruction
from electrical.core.sizes import awg
from electrical.core.tables import gauge
from electrical.core.tables.constants import RHO_CU_20_OHM_MM2_PER_M

CASES = tomllib.loads((Path(__file__).parent / "cases" / "gauge.toml").read_text())


@pytest.mark.parametrize("case", CASES["circular_mils"], ids=lambda c: c["gauge"])
def test_circular_mils_agree_with_wire_tables(case: dict[str, Any]) -> None:
    assert gauge.circular_mils(case["gauge"]) == pytest.approx(
        case["printed"], abs=case["half_digit"]
    )


@pytest.mark.parametrize("case", CASES["diameter"], ids=lambda c: c["gauge"])
def test_diameter_agrees_with_the_definition(case: dict[str, Any]) -> None:
    assert gauge.diameter_mm(case["gauge"]) == pytest.approx(
        case["printed_mm"], abs=case["half_digit"]
    )


def test_six_gauges_on_the_diameter_is_halved_nearly() -> None:
    """A property of the definition: 92^(6/39) = 2.005."""
    assert gauge.diameter_mm("10") / gauge.diameter_mm("16") == pytest.approx(2.005, abs=5e-4)
    assert area_mm2(awg("10")) / area_mm2(awg("16")) == pytest.approx(2.005**2, abs=2e-3)


def test_boat_cable_is_counted_with_its_least_copper() -> None:
    """10 AWG: 9343 of 10383 circular mils, so 11 % more resistance, and 2 % lay."""
    nominal = RHO_CU_20_OHM_MM2_PER_M / gauge.area_mm2("10") * 1000
    found, clause = max_r20_ohm_per_km(Cable(size=awg("10")))
    assert found == pytest.approx(nominal * 10383 / 9343 * 1.02, rel=1e-4)
    assert str(clause) == "ASTM B258, definition of the gauge"


def test_solid_conductors_have_no_lay() -> None:
    solid = max_r20_ohm_per_km(Cable(size=awg("10"), construction=CableConstruction.SOLID))[0]
    stranded = max_r20_ohm_per_km(Cable(size=awg("10")))[0]
    assert stranded / solid == pytest.approx(1.02)


@pytest.mark.parametrize("name", ["11", "5/0", "", "ten"])
def test_unknown_gauges_are_refused(name: str) -> None:
    with pytest.raises(OutOfTable, match="Wire gauge has no entry"):
        gauge.area_mm2(name)
