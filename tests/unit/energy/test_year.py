"""The year's run: what must hold whatever the weather."""

import math
from dataclasses import replace

import numpy as np
import pytest

from electrical.core.energy.battery import hours_by_rated_form
from electrical.core.energy.day import Battery, Charger, ChargerKind, Missing
from electrical.core.energy.run import Run
from electrical.core.energy.year import (
    EnergyDesign,
    YearResult,
    _month,
    more_battery,
    more_panels,
    run_year,
)
from electrical.core.errors import BadInput
from electrical.core.sources import Chemistry
from tests.unit.energy.vessels import array, climate, days, fridge, vessel

DRAWS = 60


def run(design: EnergyDesign, seed: int = 1) -> YearResult:
    result = run_year(design, draws=DRAWS, seed=seed)
    assert isinstance(result, YearResult)
    return result


def chances(design: EnergyDesign) -> list[float]:
    return [month.floor_chance for month in run(design).months]


def test_without_sun_or_engine_every_month_reaches_the_floor_on_the_same_day() -> None:
    design = vessel(
        battery=Battery(capacity_ah=100.0, chemistry=Chemistry.LFP),
        arrays=(),
        loads=(fridge(2.0, 1.0),),
    )
    result = run(design)
    self_discharge_a = 100.0 * 0.03 / (30 * 24)
    hours = 80.0 / (2.0 + self_discharge_a)
    for month in result.months:
        assert month.floor_chance == 1.0
        assert month.days_to_floor == pytest.approx(hours / 24, abs=1 / 24)
        assert month.solar_ah_day == 0.0


@pytest.mark.parametrize("rated_hours", [5.0, 10.0, 20.0])
def test_a_fast_draw_lasts_as_long_as_peukert_says_for_the_rated_time(rated_hours: float) -> None:
    """Half of 100 Ah of AGM (exponent 1.15) at 25 A, above the rated current of each."""
    design = vessel(
        battery=Battery(capacity_ah=100.0, chemistry=Chemistry.AGM, rated_hours=rated_hours),
        arrays=(),
        loads=(fridge(25.0, 1.0),),
    )
    whole_h = hours_by_rated_form(
        capacity_ah=100.0, current_a=25.0, exponent=1.15, rated_hours=rated_hours
    )
    for month in run(design).months:
        # The run tells whole hours.
        assert month.days_to_floor == pytest.approx(math.ceil(0.5 * whole_h) / 24, abs=0.01)


def test_the_makers_lowest_charging_temperature_decides() -> None:
    as_usual = vessel(battery=Battery(capacity_ah=300.0, chemistry=Chemistry.LFP))
    limited = Battery(capacity_ah=300.0, chemistry=Chemistry.LFP, min_charge_c=11.0)
    result = run(replace(as_usual, battery=limited))
    cold = {month.month for month in result.months if not month.can_charge}
    assert cold == {1, 2, 12}  # 9, 10 and 10 °C
    assert all(month.can_charge for month in run(as_usual).months)
    assert result.law.min_charge_c.source == "as entered for this battery"


def test_no_load_never_reaches_the_floor() -> None:
    assert chances(vessel(loads=())) == [0.0] * 12


def test_summer_is_never_worse_than_winter_here() -> None:
    result = run(vessel())
    assert result.months[6].floor_chance <= result.months[0].floor_chance
    assert result.months[6].solar_ah_day > 2.0 * result.months[0].solar_ah_day
    assert result.worst.month in {1, 2, 11, 12}


def test_band_is_ordered_and_stays_between_floor_and_full() -> None:
    result = run(vessel())
    for month in result.months:
        for low, middle, high in zip(month.low, month.middle, month.high, strict=True):
            assert result.law.floor - 1e-6 <= low <= middle <= high <= 1.0


def test_same_seed_gives_the_same_weather_and_another_seed_does_not() -> None:
    assert run(vessel()) == run(vessel())
    assert run(vessel()).months != run(vessel(), seed=2).months


def test_one_more_string_or_battery_never_makes_it_worse() -> None:
    base = chances(vessel())
    panels = chances(more_panels(vessel()))
    battery = chances(more_battery(vessel(), capacity_ah=150.0))
    assert all(more <= less for more, less in zip(panels, base, strict=True))
    assert all(more <= less for more, less in zip(battery, base, strict=True))
    assert sum(panels) < sum(base)
    assert sum(battery) < sum(base)


def test_what_one_month_leaves_the_next_one_starts_with() -> None:
    """A large battery that loses a little each winter day is low long after the first."""
    design = vessel(battery=Battery(capacity_ah=900.0, chemistry=Chemistry.AGM))
    full, carried = run(design), run_year(design, draws=DRAWS, carries_over=True)
    assert isinstance(carried, YearResult)
    assert carried.carries_over and not full.carries_over
    pairs = list(zip(full.months, carried.months, strict=True))
    assert all(one.floor_chance <= other.floor_chance for one, other in pairs)
    assert all(one.middle[0] >= other.middle[0] - 1e-6 for one, other in pairs)
    january = pairs[0]
    assert january[0].floor_chance < 0.6
    assert january[1].floor_chance > 0.9
    assert pairs[6][1].middle == pytest.approx(pairs[6][0].middle, abs=1e-3)


def test_a_small_loss_over_many_years_ends_at_the_floor() -> None:
    """What is used is a little more than what the engine brings, in a battery of years."""
    engine = Charger(
        charger_id="e",
        label="Charger from the engine",
        kind=ChargerKind.DC_DC,
        current_a=1.9,
        duty_by_state={"at anchor": 1.0},
    )
    bank = Battery(capacity_ah=20_000.0, chemistry=Chemistry.LFP, usable_depth=1.0)
    design = vessel(battery=bank, arrays=(), loads=(fridge(2.0, 1.0),), chargers=(engine,))
    assert chances(design) == [0.0] * 12
    carried = run_year(design, draws=4, carries_over=True)
    assert isinstance(carried, YearResult)
    assert [month.floor_chance for month in carried.months] == [1.0] * 12


def test_days_to_the_floor_are_those_of_a_whole_tenth_of_the_draws() -> None:
    """Of fifteen months the second to reach it counts: one is less than a tenth of them."""
    reached_d = np.full((12, 15), np.inf)
    reached_d[:, 3], reached_d[:, 7] = 5.0, 9.0
    run = Run(
        charge=np.ones((31, 24, 12, 15), dtype=np.float32),
        reached_d=reached_d,
        solar_ah_day=np.zeros(12),
        can_charge=np.ones(12, dtype=np.bool_),
    )
    assert _month(run, 0, 1.0).days_to_floor == 9.0


def test_a_vessel_that_is_full_again_each_month_carries_nothing_over() -> None:
    design = vessel(arrays=(array(400.0, 6),))
    again = run_year(design, draws=DRAWS, carries_over=True)
    assert isinstance(again, YearResult)
    for one, other in zip(run(design).months, again.months, strict=True):
        assert one.floor_chance == other.floor_chance
        assert other.low == pytest.approx(one.low, abs=5e-3)  # the last night of a month


def test_tilt_to_the_south_helps_in_winter_more_than_in_summer() -> None:
    flat = run(vessel())
    tilted = run(vessel(arrays=(array(tilt_deg=40.0, azimuth_deg=180.0),)))
    gain = [
        high.solar_ah_day / low.solar_ah_day
        for high, low in zip(tilted.months, flat.months, strict=True)
    ]
    assert gain[11] > 1.3
    assert gain[5] < 1.0


def test_swinging_vessel_gains_less_from_tilt_than_a_fixed_one() -> None:
    fixed = run(vessel(arrays=(array(tilt_deg=40.0, azimuth_deg=180.0),)))
    swinging = run(vessel(arrays=(array(tilt_deg=40.0),)))
    assert swinging.months[11].solar_ah_day < fixed.months[11].solar_ah_day


def test_regulator_limit_caps_what_solar_offers() -> None:
    small = array(peak_w=400.0, count=2)
    tight = replace(small, regulator=replace(small.regulator, max_output_a=10.0))
    free, held = run(vessel(arrays=(small,))), run(vessel(arrays=(tight,)))
    assert held.months[6].solar_ah_day < free.months[6].solar_ah_day
    assert held.months[6].solar_ah_day <= 10.0 * 16.0


def test_cold_lithium_is_not_charged() -> None:
    design = vessel(
        battery=Battery(capacity_ah=200.0, chemistry=Chemistry.LFP),
        battery_c=(-5.0,) + (10.0,) * 11,
        arrays=(array(400.0, 4),),
    )
    result = run(design)
    assert not result.months[0].can_charge
    assert result.months[0].floor_chance == 1.0
    assert result.months[1].can_charge


def test_engine_hours_charge_the_battery() -> None:
    charger = Charger(
        charger_id="e",
        label="Charger from the engine",
        kind=ChargerKind.DC_DC,
        current_a=40.0,
        duty_by_state={"under way": 1.0},
    )
    states = ("at anchor",) * 20 + ("under way",) * 4
    without = vessel(arrays=(), profiles=(days(*states),))
    assert chances(without) == [1.0] * 12
    assert chances(replace(without, chargers=(charger,))) == [0.0] * 12


def test_what_is_not_known_is_named_and_nothing_is_run() -> None:
    design = vessel(
        climate=None,
        loads=(fridge(None),),
        battery=Battery(capacity_ah=None, chemistry=Chemistry.OTHER),
    )
    assert run_year(design, draws=2) == (
        Missing("Refrigerator", "current"),
        Missing("Battery", "capacity"),
        Missing("Battery", "chemistry"),
        Missing("Home port", "monthly irradiation and temperature"),
    )


@pytest.mark.parametrize("draws", [0, 10_001])
def test_number_of_draws_is_bounded(draws: int) -> None:
    with pytest.raises(BadInput, match=rf"^Draws: {draws} is outside 1 to 10000\.$"):
        run_year(vessel(), draws=draws)


def test_irradiation_that_can_not_be_is_refused_with_month_and_limits() -> None:
    months = list(climate().irradiation_kwh_m2_day)
    months[11] = replace(months[11], value=7.0)
    with pytest.raises(BadInput) as caught:
        climate(irradiation_kwh_m2_day=tuple(months))
    assert str(caught.value) == (
        "Irradiation in December: 7 kWh/m² a day is outside 0.55 to 2.9, "
        "which this latitude can have."
    )


def test_solar_among_the_chargers_is_refused() -> None:
    solar = Charger(charger_id="s", label="Panels", kind=ChargerKind.SOLAR, peak_w=100.0)
    with pytest.raises(BadInput, match=r"^Panels: give solar as panels with a regulator\.$"):
        vessel(chargers=(solar,))
