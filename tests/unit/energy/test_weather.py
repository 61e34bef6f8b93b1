"""Drawn weather keeps the month's mean, spreads as published and persists."""

import numpy as np
import pytest

from electrical.core.energy.weather import (
    PERSISTENCE,
    clear_day_kwh_m2,
    clearness_spread,
    draw_clearness,
    mean_clearness,
)
from tests.unit.energy.vessels import climate

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
