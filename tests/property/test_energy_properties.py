"""What holds for every day plan, panel and port, whatever the numbers."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from electrical.core.energy.autonomy import autonomy
from electrical.core.energy.balance import daily_balance
from electrical.core.energy.battery import hours_by_rated_form
from electrical.core.energy.day import Battery, DayPlan, Load
from electrical.core.energy.radiation import shape_of_days
from electrical.core.energy.sun import position
from electrical.core.energy.weather import clearness_spread, draw_clearness
from electrical.core.energy.year import YearResult, more_battery, more_panels, run_year
from electrical.core.sources import Chemistry
from tests.unit.energy.vessels import array, climate, fridge, vessel

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
    horizon_left_out = 0.02 * shape.above_kwh_m2[0] + 0.02
    assert light.sum() == pytest.approx(expected, abs=horizon_left_out)
    assert (light >= -1e-9).all()


@given(st.floats(-66.0, 66.0), st.integers(1, 366), st.floats(0.0, 90.0), st.floats(0.0, 360.0))
def test_light_on_any_panel_is_finite_and_never_negative(
    latitude_deg: float, day: int, tilt_deg: float, azimuth_deg: float
) -> None:
    shape = shape_of_days(
        np.array([float(day)]),
        latitude_deg=latitude_deg,
        tilt_deg=tilt_deg,
        azimuth_deg=azimuth_deg,
    )
    light = shape.on_panel_kw_m2(np.array([0.6]))
    assert np.isfinite(light).all()
    assert light.min() >= -1e-9
    assert light.max() < 1.6


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


@settings(deadline=None, max_examples=20)
@given(st.integers(0, 10_000), st.floats(0.0, 0.9))
def test_drawn_weather_stays_between_dark_and_clear(seed: int, persistence: float) -> None:
    port = replace(climate(), persistence=persistence)
    drawn = draw_clearness(port, draws=20, seed=seed)
    assert drawn.shape == (31, 12, 20)
    assert drawn.min() >= 0.05 - 1e-6
    assert drawn.max() <= 0.90
