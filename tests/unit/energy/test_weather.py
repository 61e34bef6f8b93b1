"""Drawn weather keeps the month's mean, spreads as published and persists."""

import math

import numpy as np
import pytest

from electrical.core.energy.chemistry import Sourced
from electrical.core.energy.weather import (
    PERSISTENCE,
    Climate,
    clear_day_kwh_m2,
    clearness_spread,
    draw_clearness,
    mean_clearness,
)
from electrical.core.energy.year import YearResult, run_year
from electrical.core.errors import BadInput
from electrical.core.status import SourceStatus
from tests.unit.energy.vessels import array, climate, vessel

DRAWN = draw_clearness(climate(), draws=4000, seed=5)


def test_monthly_mean_is_kept() -> None:
    drawn = DRAWN.mean(axis=(0, 2))
    assert drawn == pytest.approx(mean_clearness(climate()), abs=0.005)


def test_days_stay_between_least_and_largest_clearness() -> None:
    for month, mean in enumerate(mean_clearness(climate())):
        low, high, _ = clearness_spread(float(mean))
        assert DRAWN[:, month].min() >= low - 1e-6
        assert DRAWN[:, month].max() <= high + 1e-6


def test_a_dull_day_tends_to_follow_a_dull_day() -> None:
    before, after = DRAWN[:-1, 0].ravel(), DRAWN[1:, 0].ravel()
    assert np.corrcoef(before, after)[0, 1] == pytest.approx(PERSISTENCE, abs=0.02)


def test_without_persistence_days_are_independent() -> None:
    drawn = draw_clearness(climate(persistence=0.0), draws=2000, seed=5)
    before, after = drawn[:-1, 0].ravel(), drawn[1:, 0].ravel()
    assert abs(np.corrcoef(before, after)[0, 1]) < 0.02


@pytest.mark.parametrize("mean", [0.3, 0.4, 0.5, 0.6, 0.7])
def test_spread_has_the_mean_it_was_made_for(mean: float) -> None:
    low, high, exponent = clearness_spread(mean)
    k = np.linspace(low, high, 20_001)
    weight = np.exp(exponent * (k - high))
    assert (k * weight).sum() / weight.sum() == pytest.approx(mean, abs=1e-3)


def test_entered_means_stay_under_a_year_of_clear_days() -> None:
    for month, entered in enumerate(climate().irradiation_kwh_m2_day):
        clear = clear_day_kwh_m2(day_of_year=15.0 + 30.4 * month, latitude_deg=41.0)
        assert entered.value < clear


NEAR_THE_CIRCLE = (0.1, 0.5, 1.8, 3.6, 5.0, 5.4, 5.0, 3.7, 2.1, 0.9, 0.2, 0.0)


def near_the_circle(*, latitude_deg: float = 65.9, **months: float) -> Climate:
    means = [months.get(f"m{n}", mean) for n, mean in enumerate(NEAR_THE_CIRCLE, start=1)]
    return climate(
        latitude_deg=latitude_deg,
        irradiation_kwh_m2_day=tuple(
            Sourced(mean, SourceStatus.MEMORY, "invented port") for mean in means
        ),
    )


def test_a_month_printed_without_sun_gives_none_and_the_others_keep_theirs() -> None:
    port = near_the_circle()
    drawn = draw_clearness(port, draws=40, seed=1)
    assert mean_clearness(port)[11] == 0.0
    assert (drawn[:, 11] == 0.0).all() and (drawn[:, :11] > 0.0).all()
    tilted = array(tilt_deg=60.0, azimuth_deg=180.0)
    result = run_year(vessel(climate=port, arrays=(tilted,)), draws=4)
    assert isinstance(result, YearResult)
    sun = [month.solar_ah_day for month in result.months]
    assert sun[11] == 0.0 and min(sun[:11]) > 0.0 and all(map(math.isfinite, sun))


def test_the_darkest_month_printed_to_one_decimal_is_taken_for_as_bright_as_can_be() -> None:
    """0.08 is the most of December at 65 deg; a table prints 0.1."""
    port = near_the_circle(latitude_deg=65.0, m12=0.1)
    assert mean_clearness(port)[11] == pytest.approx(0.8)
    drawn = draw_clearness(port, draws=4, seed=1)
    assert np.isfinite(drawn).all() and drawn[:, 11].mean() < 0.85


def test_no_sun_is_refused_where_it_is_well_up() -> None:
    with pytest.raises(BadInput) as caught:
        near_the_circle(m2=0.0)
    assert str(caught.value).startswith("Irradiation in February: 0 kWh/m² a day is outside 0.2")
    with pytest.raises(BadInput, match=r"^Irradiation in December: 0 kWh/m² a day is outside"):
        near_the_circle(latitude_deg=60.0, m1=0.2)
