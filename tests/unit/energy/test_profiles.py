"""Use profiles: a day hour by hour, and how often each comes."""

import pytest

from electrical.core.energy.balance import daily_balance
from electrical.core.energy.day import Battery, Charger, ChargerKind, Load, Missing
from electrical.core.energy.profiles import day_by_hour, days_by_month, shares_by_month
from electrical.core.energy.year import YearResult, run_year
from electrical.core.errors import BadInput
from electrical.core.sources import Chemistry
from tests.unit.energy.vessels import days, fridge, vessel

WORKING = ("at anchor",) * 6 + ("under way",) * 8 + ("at anchor",) * 10
BANK = Battery(capacity_ah=200.0, chemistry=Chemistry.LFP, coulombic_efficiency=1.0)
LAMP = Load(load_id="1", label="Lamp", current_a=2.0, duty_by_state={"at anchor": 1.0})
ENGINE = Charger(
    charger_id="e",
    label="Engine",
    kind=ChargerKind.ALTERNATOR,
    current_a=3.0,
    duty_by_state={"under way": 0.5},
)


def test_a_day_is_followed_hour_by_hour_and_a_full_battery_takes_no_more() -> None:
    hours = day_by_hour(days(*WORKING), loads=[LAMP], battery=BANK, chargers=[ENGINE])
    assert [hours[5].below_full_ah, hours[13].below_full_ah, hours[23].below_full_ah] == [
        pytest.approx(12.0),
        pytest.approx(0.0),
        pytest.approx(20.0),
    ]
    assert (hours[6].state, hours[6].use_ah, hours[6].charge_ah) == ("under way", 0.0, 1.5)


def test_the_suns_charge_belongs_to_no_hour() -> None:
    solar = Charger(
        charger_id="s",
        label="Panels",
        kind=ChargerKind.SOLAR,
        peak_w=100.0,
        irradiation_kwh_m2_day=3.0,
    )
    hours = day_by_hour(days("at anchor"), loads=[LAMP], battery=BANK, chargers=[solar])
    assert sum(hour.charge_ah for hour in hours) == 0.0


def test_days_without_a_profile_are_like_the_others() -> None:
    mix = [
        days("at anchor", days_per_week=3.0),
        days("under way", days_per_week=2.0, months=frozenset({6, 7})),
    ]
    assert days_by_month(mix)[4:7] == (3.0, 5.0, 5.0)
    assert shares_by_month(mix)[4:6] == ((1.0, 0.0), (0.6, 0.4))


def test_more_than_a_week_of_days_is_refused_with_its_month() -> None:
    mix = [days("at anchor"), days("under way", days_per_week=1.0, months=frozenset({3}))]
    message = r"^Month 3: 8 days a week have a profile, must be 7 at most$"
    with pytest.raises(BadInput, match=message):
        shares_by_month(mix)


def test_a_month_without_a_profile_is_named_and_nothing_is_run() -> None:
    summer = days("at anchor", months=frozenset(range(1, 12)))
    assert run_year(vessel(profiles=(summer,)), draws=2) == (
        Missing("Use profiles", "one for month 12"),
    )


def test_the_year_tells_the_mean_use_of_each_months_mix() -> None:
    mix = (
        days("at anchor", days_per_week=5.0),
        days("idle", days_per_week=2.0, months=frozenset(range(4, 13))),
    )
    result = run_year(vessel(profiles=mix), draws=2)
    assert isinstance(result, YearResult)
    whole = daily_balance(plan=mix[0].plan, loads=[fridge()], battery=BANK).use_ah
    assert result.months[0].use_ah_day == pytest.approx(whole)
    assert result.months[5].use_ah_day == pytest.approx(whole * 5 / 7)
    assert result.use_ah_day == pytest.approx(whole * (3 + 9 * 5 / 7) / 12)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"states": ("idle",) * 23}, "Day: 23 hours given, must be 24"),
        ({"days_per_week": 0.0}, "Day: days a week: must be above 0 days"),
        ({"days_per_week": 7.5}, "Day: days a week: 7.5 days is above 7 days"),
        ({"months": frozenset()}, "Day: months: must be some of 1 to 12"),
        ({"months": frozenset({13})}, "Day: months: must be some of 1 to 12"),
    ],
)
def test_impossible_profile_names_quantity_and_limit(
    changes: dict[str, object], message: str
) -> None:
    with pytest.raises(BadInput) as caught:
        days("idle", **changes)
    assert str(caught.value) == message


def test_a_vessel_has_at_least_one_profile() -> None:
    with pytest.raises(BadInput, match=r"^Use profiles: there is none\.$"):
        vessel(profiles=())
