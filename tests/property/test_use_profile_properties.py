"""What holds for every mix of use profiles."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from electrical.core.energy.balance import daily_balance
from electrical.core.energy.day import Battery, Load
from electrical.core.energy.drawn_days import draw_days
from electrical.core.energy.profiles import UseProfile, shares_by_month
from electrical.core.energy.year import YearResult, run_year
from electrical.core.sources import Chemistry
from tests.unit.energy.vessels import days, vessel

STATES = ("at anchor", "under way", "charging from shore")


@st.composite
def mixes(draw: st.DrawFn) -> tuple[UseProfile, ...]:
    """Profiles that share the week, one of them all year round."""
    weights = [draw(st.integers(1, 30)) for _ in range(draw(st.integers(1, 4)))]
    scale = draw(st.floats(0.5, 7.0)) / sum(weights)
    seasons = st.sets(st.integers(1, 12), min_size=1)
    return tuple(
        days(
            *[draw(st.sampled_from(STATES)) for _ in range(24)],
            name=f"Profile {k}",
            days_per_week=weight * scale,
            months=frozenset(draw(seasons)) if k else frozenset(range(1, 13)),
        )
        for k, weight in enumerate(weights)
    )


@settings(deadline=None, max_examples=40)
@given(mixes(), st.integers(0, 1000))
def test_each_profile_comes_as_often_as_told_and_only_in_its_months(
    mix: tuple[UseProfile, ...], seed: int
) -> None:
    drawn = draw_days(mix, draws=400, seed=seed)
    assert drawn.shape == (31, 12, 400)
    for month, shares in enumerate(shares_by_month(mix)):
        assert sum(shares) == pytest.approx(1.0)
        for which, share in enumerate(shares):
            came = (drawn[:, month] == which).mean()
            # Within a week each comes in its part of the days, give or take one day.
            assert came == pytest.approx(share, abs=0.02)
            assert (came == 0.0) == (month + 1 not in mix[which].months)


@settings(deadline=None, max_examples=20)
@given(st.permutations([4, 2, 1]), st.integers(0, 1000))
def test_whole_days_a_week_come_exactly_in_any_seven_days(counts: list[int], seed: int) -> None:
    mix = [days("at anchor", name=str(k), days_per_week=n) for k, n in enumerate(counts)]
    drawn = draw_days(mix, draws=10, seed=seed)
    for first in range(31 - 6):
        week = drawn[first : first + 7]
        for which, count in enumerate(counts):
            assert ((week == which).sum(axis=0) == count).all()


@settings(deadline=None, max_examples=10)
@given(mixes(), st.integers(0, 1000), st.floats(0.5, 6.0))
def test_use_over_the_mix_is_kept(mix: tuple[UseProfile, ...], seed: int, amps: float) -> None:
    """Without charging, what a large battery has lost is what the drawn days used."""
    load = Load(
        load_id="1",
        label="Load",
        current_a=amps,
        duty_by_state={STATES[0]: 0.4, STATES[1]: 1.0, STATES[2]: 0.1},
    )
    bank = Battery(capacity_ah=100_000.0, chemistry=Chemistry.LFP)
    design = vessel(profiles=mix, loads=(load,), arrays=(), battery=bank)
    result = run_year(design, draws=2, seed=seed)
    assert isinstance(result, YearResult)
    use_ah = [daily_balance(plan=one.plan, loads=[load], battery=bank).use_ah for one in mix]
    drawn = draw_days(mix, draws=2, seed=seed)
    for month, found in enumerate(result.months):
        shares = shares_by_month(mix)[month]
        mean = sum(part * ah for part, ah in zip(shares, use_ah, strict=True))
        assert found.use_ah_day == pytest.approx(mean)
        used = sorted(sum(use_ah[which] for which in drawn[:, month, k]) for k in range(2))
        rest = 31 * 24 * result.law.self_discharge_per_h
        lowest = 1.0 - used[-1] / 100_000.0 - rest
        assert min(found.low) >= lowest - 1e-5


@settings(deadline=None, max_examples=10)
@given(st.integers(1, 6), st.integers(0, 100))
def test_a_mix_is_no_better_than_its_best_days_and_no_worse_than_its_worst(
    count: int, seed: int
) -> None:
    idle = days("charging from shore", days_per_week=count)
    used = days("at anchor", days_per_week=7 - count)

    def chances(*profiles: UseProfile) -> list[float]:
        result = run_year(vessel(profiles=profiles), draws=8, seed=seed)
        assert isinstance(result, YearResult)
        return [month.floor_chance for month in result.months]

    alone = zip(chances(idle), chances(idle, used), chances(used), strict=True)
    assert all(best <= mixed <= worst for best, mixed, worst in alone)
    assert chances(used, replace(used, days_per_week=count)) == chances(used)
