"""The year's run against the same run written plainly, hour by hour."""

from typing import Any

import numpy as np
import pytest

from electrical.core.energy.day import Battery, Charger, ChargerKind
from electrical.core.energy.year import YearResult, run_year
from electrical.core.sources import Chemistry
from tests.peer.plain_year import plain_year
from tests.unit.energy.vessels import array, climate, days, fridge, vessel

pytestmark = pytest.mark.peer

UNDER_WAY = ("at anchor",) * 8 + ("under way",) * 5 + ("at anchor",) * 11
ENGINE = Charger(
    charger_id="e",
    label="Charger from the engine",
    kind=ChargerKind.DC_DC,
    current_a=45.0,
    duty_by_state={"under way": 0.8},
)
CASES: dict[str, dict[str, Any]] = {
    "lead-acid, flat panels": {},
    "lithium, tilted, swinging": {
        "battery": Battery(capacity_ah=120.0, chemistry=Chemistry.LFP),
        "arrays": (array(tilt_deg=30.0),),
    },
    "lead-acid above its rated current": {
        "loads": (fridge(40.0, 0.9),),
        "battery": Battery(capacity_ah=200.0, chemistry=Chemistry.FLOODED),
    },
    "engine and no sun": {"profiles": (days(*UNDER_WAY),), "chargers": (ENGINE,), "arrays": ()},
    "working week, weekend, and a season under way": {
        "profiles": (
            days(*UNDER_WAY, days_per_week=4.5),
            days("at anchor", days_per_week=2.0),
            days("under way", days_per_week=0.5, months=frozenset({5, 6, 7})),
        ),
        "chargers": (ENGINE,),
    },
    "two arrays, southern port, cold lithium": {
        "battery": Battery(capacity_ah=200.0, chemistry=Chemistry.LFP),
        "battery_c": (5.0,) * 6 + (-3.0,) * 2 + (5.0,) * 4,
        "arrays": (array(tilt_deg=20.0, azimuth_deg=0.0), array(60.0, 1)),
        "profiles": (days(*UNDER_WAY),),
        "chargers": (ENGINE,),
        "climate": climate(
            latitude_deg=-37.0,
            irradiation_kwh_m2_day=tuple(reversed(climate().irradiation_kwh_m2_day[:6]))
            + climate().irradiation_kwh_m2_day[:6],
        ),
    },
}


@pytest.mark.parametrize("name", CASES)
def test_chances_and_bands_agree(name: str) -> None:
    design = vessel(**CASES[name])
    result = run_year(design, draws=6, seed=3)
    assert isinstance(result, YearResult)
    agrees(result, plain_year(design, draws=6, seed=3))


def test_months_that_follow_one_another_agree_with_years_run_through() -> None:
    """Enough battery that a dull autumn is still felt in the winter."""
    design = vessel(battery=Battery(capacity_ah=900.0, chemistry=Chemistry.AGM))
    result = run_year(design, draws=3, seed=3, carries_over=True)
    assert isinstance(result, YearResult)
    agrees(result, plain_year(design, draws=3, seed=3, years=2))


def agrees(result: YearResult, plain: list[list[list[float]]]) -> None:
    draws = result.draws
    floor = result.law.floor
    for month, histories in zip(result.months, plain, strict=True):
        reached = sum(min(history) <= floor + 1e-6 for history in histories)
        assert month.floor_chance == pytest.approx(reached / draws)
        for hour in range(24):
            values = np.sort([history[hour::24] for history in histories], axis=None)
            assert month.low[hour] == pytest.approx(values[int(values.size * 0.1)], abs=1e-5)
            assert month.middle[hour] == pytest.approx(values[int(values.size * 0.5)], abs=1e-5)
            assert month.high[hour] == pytest.approx(values[int(values.size * 0.9)], abs=1e-5)
