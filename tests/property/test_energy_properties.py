"""What holds for every day plan, panel and port, whatever the numbers."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from electrical.core.energy.autonomy import autonomy
from electrical.core.energy.balance import daily_balance
from electrical.core.energy.battery import BatteryLaw, battery_law, hours_by_rated_form
from electrical.core.energy.day import Battery, Charger, ChargerKind, DayPlan, Load
from electrical.core.energy.drawn_days import draw_days
from electrical.core.energy.profiles import day_by_hour
from electrical.core.energy.radiation import shape_of_days
from electrical.core.energy.run import follow
from electrical.core.energy.sun import position
from electrical.core.energy.sunshine import (
    PLAIN,
    PanelDay,
    beam_gain,
    day_on_panel_kwh_m2,
    slope_gain,
)
from electrical.core.energy.weather import clearness_spread, draw_clearness
from electrical.core.energy.year import YearResult, more_battery, more_panels, run_year
from electrical.core.sources import Chemistry
from tests.unit.energy.vessels import array, climate, days, fridge, vessel

STATES = ("at anchor", "under way", "charging from shore")
AMPS = st.floats(0.0, 50.0)
PART = st.floats(0.0, 1.0)


@st.composite
def loads(draw: st.DrawFn) -> list[Load]:
    return [
        Load(
            load_id=str(k),
            label=f"Load {k}",
            current_a=draw(AMPS | st.none()),
            duty_by_state={state: draw(PART | st.none()) for state in STATES},
            quantity=draw(st.floats(0.0, 5.0)),
        )
        for k in range(draw(st.integers(0, 5)))
    ]


@st.composite
def plans(draw: st.DrawFn) -> DayPlan:
    return DayPlan.from_hours([draw(st.sampled_from(STATES)) for _ in range(24)])


BANK = Battery(capacity_ah=200.0, chemistry=Chemistry.AGM)


@given(plans(), loads())
def test_use_by_state_and_by_load_add_up_to_the_same(
    plan: DayPlan, given_loads: list[Load]
) -> None:
    balance = daily_balance(plan=plan, loads=given_loads, battery=BANK)
    by_load = sum(ah or 0.0 for row in balance.rows for ah in row.ah_by_state.values())
    assert balance.use_ah == pytest.approx(by_load, abs=1e-9)
    assert balance.use_ah == pytest.approx(sum(balance.use_by_state_ah.values()), abs=1e-9)
    assert balance.is_use_complete == all(row.total_ah is not None for row in balance.rows)


@given(plans(), loads(), loads())
def test_loads_superpose(plan: DayPlan, some: list[Load], others: list[Load]) -> None:
    def use_ah(chosen: list[Load]) -> float:
        return daily_balance(plan=plan, loads=chosen, battery=BANK).use_ah

    assert use_ah(some + others) == pytest.approx(use_ah(some) + use_ah(others), abs=1e-9)


@given(plans(), loads(), AMPS)
def test_one_more_load_never_lasts_longer(
    plan: DayPlan, given_loads: list[Load], amps: float
) -> None:
    def days(chosen: list[Load]) -> float | None:
        balance = daily_balance(plan=plan, loads=chosen, battery=BANK)
        return autonomy(balance=balance, battery=BANK).days

    more = Load(
        load_id="more", label="More", current_a=amps, duty_by_state=dict.fromkeys(STATES, 0.5)
    )
    before, after = days(given_loads), days([*given_loads, more])
    if before is not None and after is not None:
        assert after <= before * (1 + 1e-12)


@given(st.floats(10.0, 500.0), st.floats(0.1, 300.0), st.floats(1.0, 1.5), st.floats(1.0, 3.0))
def test_more_current_never_lasts_longer(
    capacity_ah: float, current_a: float, exponent: float, more: float
) -> None:
    def hours(amps: float) -> float:
        return hours_by_rated_form(capacity_ah=capacity_ah, current_a=amps, exponent=exponent)

    assert hours(current_a * more) <= hours(current_a) * (1 + 1e-12)


@given(st.floats(-66.0, 66.0), st.integers(1, 366), st.floats(0.05, 0.8))
def test_a_flat_panel_gets_the_whole_day(latitude_deg: float, day: int, clearness: float) -> None:
    shape = shape_of_days(
        np.array([float(day)]), latitude_deg=latitude_deg, tilt_deg=0.0, azimuth_deg=None
    )
    light = shape.on_panel_kw_m2(np.array([clearness]))
    expected = clearness * shape.above_kwh_m2[0]
    assert light.sum() == pytest.approx(expected, rel=1e-9)


@given(
    st.floats(-66.0, 66.0),
    st.integers(1, 366),
    st.floats(0.0, 90.0),
    st.none() | st.floats(0.0, 360.0),
    st.floats(0.05, 0.85),
)
def test_light_on_any_panel_is_finite_and_never_negative(
    latitude_deg: float, day: int, tilt_deg: float, azimuth_deg: float | None, clearness: float
) -> None:
    shape = shape_of_days(
        np.array([float(day)]),
        latitude_deg=latitude_deg,
        tilt_deg=tilt_deg,
        azimuth_deg=azimuth_deg,
    )
    light = shape.on_panel_kw_m2(np.array([clearness]))
    assert np.isfinite(light).all()
    assert light.min() >= 0.0
    assert light.max() < 2.0


@given(
    st.floats(-66.0, 66.0),
    st.floats(-0.4093, 0.4093),
    st.floats(-np.pi, np.pi),
    st.floats(0.0, 90.0),
    st.floats(0.0, 360.0),
)
def test_the_southern_hemisphere_mirrors_the_northern(
    latitude_deg: float, declination: float, hour_angle: float, tilt_deg: float, azimuth_deg: float
) -> None:
    """North and south change places, and with them a panel's heading."""
    here = beam_gain(PLAIN, declination, hour_angle, latitude_deg, tilt_deg, azimuth_deg)
    there = beam_gain(PLAIN, -declination, hour_angle, -latitude_deg, tilt_deg, 180.0 - azimuth_deg)
    assert there == pytest.approx(here, abs=1e-9)


@given(st.floats(2433283.0, 2469808.0), st.floats(-89.0, 89.0), st.floats(-180.0, 180.0))
def test_sun_stands_somewhere_in_the_sky(
    julian_day: float, latitude_deg: float, longitude_deg: float
) -> None:
    sun = position(np.array([julian_day]), latitude_deg=latitude_deg, longitude_deg=longitude_deg)
    assert 0.0 <= sun.zenith_deg[0] <= 180.0
    assert 0.0 <= sun.azimuth_deg[0] <= 360.0
    assert abs(sun.declination_deg[0]) < 23.5
    assert 0.98 < sun.distance_au[0] < 1.02


@given(st.floats(0.15, 0.80))
def test_spread_of_clearness_holds_its_mean(mean: float) -> None:
    low, high, exponent = clearness_spread(mean)
    k = np.linspace(low, high, 4001)
    weight = np.exp(exponent * (k - (high if exponent > 0 else low)))
    assert low < mean < high
    assert np.trapezoid(k * weight, k) / np.trapezoid(weight, k) == pytest.approx(mean, abs=2e-3)


@settings(deadline=None, max_examples=25)
@given(
    capacity_ah=st.floats(20.0, 800.0),
    chemistry=st.sampled_from([Chemistry.FLOODED, Chemistry.AGM, Chemistry.GEL, Chemistry.LFP]),
    amps=st.floats(0.0, 30.0),
    peak_w=st.floats(10.0, 800.0),
    tilt_deg=st.floats(0.0, 90.0),
    seed=st.integers(0, 1000),
)
def test_every_vessel_gets_a_year_and_more_never_makes_it_worse(
    *,
    capacity_ah: float,
    chemistry: Chemistry,
    amps: float,
    peak_w: float,
    tilt_deg: float,
    seed: int,
) -> None:
    design = vessel(
        battery=Battery(capacity_ah=capacity_ah, chemistry=chemistry),
        loads=(fridge(amps, 0.5),),
        arrays=(array(peak_w, 1, tilt_deg=tilt_deg),),
    )

    def year(changed: object) -> YearResult:
        result = run_year(changed, draws=8, seed=seed)  # type: ignore[arg-type]
        assert isinstance(result, YearResult)
        return result

    base = year(design)
    for month in base.months:
        assert 0.0 <= month.floor_chance <= 1.0
        assert base.law.floor - 1e-6 <= min(month.low) <= max(month.high) <= 1.0
    for better in (more_panels(design), more_battery(design, capacity_ah=capacity_ah)):
        for before, after in zip(base.months, year(better).months, strict=True):
            assert after.floor_chance <= before.floor_chance


@settings(deadline=None, max_examples=15)
@given(
    st.floats(20.0, 800.0),
    st.sampled_from([Chemistry.FLOODED, Chemistry.LFP]),
    st.floats(0.0, 20.0),
    st.floats(0.0, 5.0),
    st.booleans(),
)
def test_more_load_never_makes_the_floor_less_likely(
    capacity_ah: float, chemistry: Chemistry, amps: float, more_a: float, carries_over: bool
) -> None:
    def chances(current_a: float) -> list[float]:
        bank = Battery(capacity_ah=capacity_ah, chemistry=chemistry)
        design = vessel(battery=bank, loads=(fridge(current_a, 0.5),))
        result = run_year(design, draws=6, carries_over=carries_over)
        assert isinstance(result, YearResult)
        assert result.worst.floor_chance == max(m.floor_chance for m in result.months)
        return [month.floor_chance for month in result.months]

    pairs = zip(chances(amps), chances(amps + more_a), strict=True)
    assert all(less <= more for less, more in pairs)


@settings(deadline=None, max_examples=15)
@given(
    st.floats(50.0, 500.0),
    st.sampled_from([Chemistry.FLOODED, Chemistry.AGM, Chemistry.GEL, Chemistry.LFP]),
    st.floats(0.1, 40.0),
    st.floats(0.0, 60.0),
    st.integers(0, 100),
)
def test_every_hour_charge_changes_by_what_went_in_less_what_went_out(
    capacity_ah: float, chemistry: Chemistry, amps: float, engine_a: float, seed: int
) -> None:
    """Replayed from what is offered and asked for; at the floor what is asked for is cut off."""
    charger = Charger(
        charger_id="e",
        label="Engine",
        kind=ChargerKind.ALTERNATOR,
        current_a=engine_a,
        duty_by_state={"under way": 1.0},
    )
    design = vessel(
        battery=Battery(capacity_ah=capacity_ah, chemistry=chemistry),
        profiles=(days(*("at anchor",) * 9, *("under way",) * 6, *("at anchor",) * 9),),
        loads=(fridge(amps, 1.0),),
        chargers=(charger,),
        arrays=(),
    )
    law = battery_law(design.battery)
    assert isinstance(law, BatteryLaw) and design.climate is not None
    steady_a = np.array([[-amps] * 9 + [engine_a - amps] * 6 + [-amps] * 9])
    run = follow(
        design,
        design.climate,
        law,
        steady_a=steady_a,
        weather=draw_clearness(design.climate, draws=1, seed=seed),
        days=draw_days(design.profiles, draws=1, seed=seed),
    )
    charge = np.concatenate([[1.0], run.charge[:, :, 0, 0].ravel().astype(np.float64)])
    assert charge.min() >= law.floor - 1e-6
    assert charge.max() <= 1.0
    for hour, (before, after) in enumerate(pairwise(charge)):
        net_a = steady_a[0, hour % 24]
        in_ah = min(max(net_a, 0.0), law.acceptance_a.value) * law.charge_efficiency.value
        taper = law.acceptance_a.value * law.charge_efficiency.value / (1.0 - law.taper_from)
        felt = max(-net_a / law.rated_a, 1.0) ** (law.exponent.value - 1.0)
        out_ah = max(-net_a, 0.0) * felt + law.self_discharge_per_h * capacity_ah
        rest = before - out_ah / capacity_ah
        in_ah = min(in_ah, taper * (1.0 - rest), (1.0 - rest) * capacity_ah)
        # Kept in single precision, and the last hour's rounding comes back in this one.
        expected = max(rest + in_ah / capacity_ah, law.floor)
        assert after == pytest.approx(expected, abs=5e-7)


@settings(deadline=None, max_examples=20)
@given(st.integers(0, 10_000), st.floats(0.0, 0.9))
def test_drawn_weather_stays_between_dark_and_clear(seed: int, persistence: float) -> None:
    port = replace(climate(), persistence=persistence)
    drawn = draw_clearness(port, draws=20, seed=seed)
    assert drawn.shape == (31, 12, 20)
    assert drawn.min() >= 0.05 - 1e-6
    assert drawn.max() <= 0.90


@given(plans(), loads(), AMPS, PART)
def test_the_hours_of_a_day_add_up_to_its_balance(
    plan: DayPlan, given_loads: list[Load], amps: float, part: float
) -> None:
    states = [state for state, hours in plan.hours_by_state.items() for _ in range(int(hours))]
    charger = Charger(
        charger_id="c",
        label="Charger",
        kind=ChargerKind.MAINS,
        current_a=amps,
        duty_by_state={STATES[2]: part},
    )
    balance = daily_balance(plan=plan, loads=given_loads, battery=BANK, chargers=[charger])
    hours = day_by_hour(days(*states), loads=given_loads, battery=BANK, chargers=[charger])
    assert sum(hour.use_ah for hour in hours) == pytest.approx(balance.use_ah, abs=1e-9)
    assert sum(hour.charge_ah for hour in hours) == pytest.approx(balance.charge_ah, abs=1e-9)
    left_ah = balance.use_ah - balance.charge_ah
    assert hours[-1].below_full_ah >= left_ah - 1e-9
    assert min(hour.below_full_ah for hour in hours) >= 0.0


@given(
    st.integers(1, 365),
    st.floats(-60, 60),
    st.floats(0, 90),
    st.none() | st.floats(0, 359),
    st.floats(0.05, 0.75),
)
def test_a_single_day_without_numpy_is_the_days_of_the_year(
    day: int, latitude_deg: float, tilt_deg: float, azimuth_deg: float | None, clearness: float
) -> None:
    shape = shape_of_days(
        np.array([float(day)]),
        latitude_deg=latitude_deg,
        tilt_deg=tilt_deg,
        azimuth_deg=azimuth_deg,
    )
    flat = clearness * float(shape.above_kwh_m2[0])
    panel = PanelDay(latitude_deg=latitude_deg, tilt_deg=tilt_deg, azimuth_deg=azimuth_deg)
    alone = day_on_panel_kwh_m2(panel, day_of_year=float(day), flat_kwh_m2=flat)
    whole = float(shape.on_panel_kw_m2(np.array([clearness])).sum())
    assert alone == pytest.approx(whole, rel=1e-9, abs=1e-12)


@given(st.lists(st.floats(0.1, 8), min_size=12, max_size=12), st.floats(-60, 60))
def test_a_flat_panel_has_the_sun_of_the_flat(monthly: list[float], latitude_deg: float) -> None:
    flat = PanelDay(latitude_deg=latitude_deg, tilt_deg=0.0)
    assert slope_gain(flat, monthly) == pytest.approx(1.0, rel=1e-9)
