"""Daily amp-hours and days of autonomy."""

import math

import pytest

from electrical.core.energy.autonomy import AutonomyVerdict, autonomy
from electrical.core.energy.balance import daily_balance
from electrical.core.energy.battery import hours_by_rated_form
from electrical.core.energy.day import Battery, Charger, ChargerKind, DayPlan, Load, Missing
from electrical.core.energy.year import YearResult, run_year
from electrical.core.errors import BadInput
from electrical.core.sources import Chemistry
from electrical.core.status import SourceStatus
from tests.unit.energy.vessels import fridge, vessel

WEEKEND = DayPlan(hours_by_state={"under way": 4.0, "at anchor": 20.0})
FRIDGE = Load(
    load_id="fridge",
    label="Refrigerator",
    current_a=4.0,
    duty_by_state={"under way": 0.4, "at anchor": 0.4},
)
PLOTTER = Load(
    load_id="plotter", label="Chart display", current_a=1.5, duty_by_state={"under way": 1.0}
)
LFP_200 = Battery(capacity_ah=200.0, chemistry=Chemistry.LFP)


def test_use_is_current_times_duty_times_hours_in_each_state() -> None:
    balance = daily_balance(plan=WEEKEND, loads=[FRIDGE, PLOTTER], battery=LFP_200)
    assert balance.rows[0].ah_by_state == pytest.approx({"under way": 6.4, "at anchor": 32.0})
    assert balance.rows[1].ah_by_state == pytest.approx({"under way": 6.0, "at anchor": 0.0})
    assert balance.use_by_state_ah == pytest.approx({"under way": 12.4, "at anchor": 32.0})
    assert balance.use_ah == pytest.approx(44.4)


def test_load_behind_converter_is_referred_to_the_battery() -> None:
    load = Load(
        load_id="1",
        label="24 V heater",
        current_a=2.0,
        nominal_v=24.0,
        conversion_efficiency=0.8,
        quantity=2.0,
        duty_by_state={"at anchor": 0.5},
    )
    row = daily_balance(plan=WEEKEND, loads=[load], battery=LFP_200).rows[0]
    assert row.battery_current_a == pytest.approx(10.0)
    assert row.total_ah == pytest.approx(100.0)


def test_autonomy_is_usable_over_use_and_keeps_the_status_of_the_depth() -> None:
    balance = daily_balance(plan=WEEKEND, loads=[FRIDGE, PLOTTER], battery=LFP_200)
    result = autonomy(balance=balance, battery=LFP_200)
    assert result.usable_ah == pytest.approx(160.0)
    rest_ah = 200.0 * 0.03 / 30.0
    assert result.rate_ah == 0.0
    assert result.rest_ah == pytest.approx(rest_ah)
    assert result.days == pytest.approx(160.0 / (44.4 + rest_ah))
    assert result.usable_depth is not None
    assert result.usable_depth.status is SourceStatus.MEMORY
    assert result.missing == ()


def test_fast_use_costs_what_peukert_says_in_the_hours_it_lasts() -> None:
    """25 A for 4 h on 100 Ah of AGM, rated 5 A: the 20 h at anchor draw too little to count."""
    bank = Battery(capacity_ah=100.0, chemistry=Chemistry.AGM)
    windlass = Load(
        load_id="w",
        label="Winch",
        current_a=25.0,
        duty_by_state={"under way": 1.0, "at anchor": 0.1},
    )
    result = autonomy(
        balance=daily_balance(plan=WEEKEND, loads=[windlass], battery=bank), battery=bank
    )
    hours_h = hours_by_rated_form(capacity_ah=100.0, current_a=25.0, exponent=1.15)
    assert result.use_ah == pytest.approx(4 * 25.0 + 20 * 2.5)
    assert result.rate_ah == pytest.approx(4 * (100.0 / hours_h - 25.0))
    assert result.days == pytest.approx(50.0 / (150.0 + result.rate_ah + 0.1))


@pytest.mark.parametrize("chemistry", [Chemistry.FLOODED, Chemistry.AGM, Chemistry.LFP])
@pytest.mark.parametrize("current_a", [0.4, 4.0, 9.0, 30.0])
def test_days_are_those_after_which_the_year_without_sun_reaches_the_floor(
    chemistry: Chemistry, current_a: float
) -> None:
    bank = Battery(capacity_ah=100.0, chemistry=chemistry)
    design = vessel(battery=bank, arrays=(), loads=(fridge(current_a, 1.0),))
    balance = daily_balance(plan=design.profiles[0].plan, loads=design.loads, battery=bank)
    days = autonomy(balance=balance, battery=bank).days
    year = run_year(design, draws=1)
    assert days is not None and isinstance(year, YearResult)
    # The run tells whole hours.
    assert year.months[0].days_to_floor == pytest.approx(math.ceil(days * 24 - 1e-3) / 24)


def test_without_a_chemistry_the_days_are_those_of_the_use_alone() -> None:
    bank = Battery(capacity_ah=100.0, chemistry=None, usable_depth=0.5)
    balance = daily_balance(plan=WEEKEND, loads=[FRIDGE], battery=bank)
    result = autonomy(balance=balance, battery=bank)
    assert result.law is None and result.lost_ah == 0.0
    assert result.days == pytest.approx(50.0 / result.use_ah)


def test_charging_is_shown_apart_and_never_changes_the_plain_figure() -> None:
    alternator = Charger(
        charger_id="a",
        label="Charger from alternator",
        kind=ChargerKind.DC_DC,
        current_a=30.0,
        duty_by_state={"under way": 1.0},
    )
    plain = autonomy(
        balance=daily_balance(plan=WEEKEND, loads=[FRIDGE], battery=LFP_200), battery=LFP_200
    )
    balance = daily_balance(plan=WEEKEND, loads=[FRIDGE], battery=LFP_200, chargers=[alternator])
    charged = autonomy(balance=balance, battery=LFP_200)
    assert balance.charge_rows[0].delivered_ah == pytest.approx(120.0)
    assert balance.charge_ah == pytest.approx(120.0 * 0.99)
    assert charged.days == plain.days
    assert charged.verdict_with_charging is AutonomyVerdict.NEVER_RUNS_OUT
    assert charged.days_with_charging is None


def test_battery_acceptance_limits_the_charger() -> None:
    bank = Battery(capacity_ah=100.0, chemistry=Chemistry.FLOODED)
    mains = Charger(
        charger_id="m",
        label="Mains charger",
        kind=ChargerKind.MAINS,
        current_a=60.0,
        duty_by_state={"at anchor": 0.5},
    )
    row = daily_balance(plan=WEEKEND, loads=[], battery=bank, chargers=[mains]).charge_rows[0]
    assert row.is_limited_by_battery
    assert row.current_a == pytest.approx(25.0)
    assert row.stored_ah == pytest.approx(250.0 * 0.85)


def test_chargers_in_the_same_state_share_what_the_battery_accepts() -> None:
    """30 A from the engine and 10 A from shore under way, of which 25 A go in."""
    bank = Battery(capacity_ah=100.0, chemistry=Chemistry.FLOODED)
    engine, shore = (
        Charger(
            charger_id=name,
            label=name,
            kind=ChargerKind.MAINS,
            current_a=amps,
            duty_by_state={"under way": 1.0, other: 1.0},
        )
        for name, amps, other in (("engine", 30.0, "under way"), ("shore", 10.0, "at anchor"))
    )
    rows = daily_balance(plan=WEEKEND, loads=[], battery=bank, chargers=[engine, shore]).charge_rows
    assert [row.is_limited_by_battery for row in rows] == [True, True]
    # The engine alone is held to 25 A; both then give 25/35 of what they have.
    assert rows[0].delivered_ah == pytest.approx(25.0 * 25.0 / 35.0 * 4.0)
    assert rows[1].delivered_ah == pytest.approx(10.0 * 25.0 / 35.0 * 4.0 + 10.0 * 20.0)
    assert rows[1].current_a == pytest.approx(10.0 * 25.0 / 35.0)


def test_charge_into_a_battery_of_unknown_acceptance_can_not_be_told() -> None:
    mixed = Battery(capacity_ah=200.0, chemistry=None, usable_depth=0.5, coulombic_efficiency=0.9)
    mains = Charger(
        charger_id="m",
        label="Mains charger",
        kind=ChargerKind.MAINS,
        current_a=60.0,
        duty_by_state={"at anchor": 1.0},
    )
    balance = daily_balance(plan=WEEKEND, loads=[FRIDGE], battery=mixed, chargers=[mains])
    result = autonomy(balance=balance, battery=mixed)
    assert balance.charge_rows[0].stored_ah is None
    assert result.verdict is AutonomyVerdict.LASTS
    assert result.verdict_with_charging is AutonomyVerdict.CANNOT_TELL
    assert result.missing == (Missing("Battery", "chemistry or largest charging current"),)


def test_unknown_charger_that_never_runs_in_the_plan_matters_not() -> None:
    shore = Charger(
        charger_id="m",
        label="Mains charger",
        kind=ChargerKind.MAINS,
        duty_by_state={"charging from shore": 1.0},
    )
    balance = daily_balance(plan=WEEKEND, loads=[FRIDGE], battery=LFP_200, chargers=[shore])
    assert balance.missing == ()
    assert balance.is_charge_complete


def test_unknown_efficiency_of_a_converter_is_named_as_such() -> None:
    heater = Load(
        load_id="h",
        label="Heater",
        current_a=2.0,
        nominal_v=24.0,
        conversion_efficiency=None,
        duty_by_state={"at anchor": 1.0},
    )
    balance = daily_balance(plan=WEEKEND, loads=[heater], battery=LFP_200)
    assert balance.rows[0].total_ah is None
    assert balance.missing == (Missing("Heater", "efficiency of the converter that feeds it"),)


def test_solar_is_panel_power_times_sun_hours_times_derate() -> None:
    solar = Charger(
        charger_id="s",
        label="Panels",
        kind=ChargerKind.SOLAR,
        peak_w=200.0,
        irradiation_kwh_m2_day=3.0,
        derate=0.75,
    )
    balance = daily_balance(plan=WEEKEND, loads=[], battery=LFP_200, chargers=[solar])
    assert balance.charge_rows[0].delivered_ah == pytest.approx(200 * 3 * 0.75 / 12)


def test_unknown_current_gives_cannot_tell_and_names_what_is_missing() -> None:
    radar = Load(load_id="r", label="Radar", current_a=None, duty_by_state={"under way": 1.0})
    balance = daily_balance(plan=WEEKEND, loads=[FRIDGE, radar], battery=LFP_200)
    result = autonomy(balance=balance, battery=LFP_200)
    assert balance.use_ah == pytest.approx(38.4)
    assert balance.rows[1].total_ah is None
    assert result.verdict is AutonomyVerdict.CANNOT_TELL
    assert result.days is None
    assert result.missing == (Missing("Radar", "current"),)


def test_unknown_current_of_a_load_that_is_never_on_matters_not() -> None:
    spare = Load(load_id="x", label="Spare", current_a=None, duty_by_state={})
    balance = daily_balance(plan=WEEKEND, loads=[FRIDGE, spare], battery=LFP_200)
    assert autonomy(balance=balance, battery=LFP_200).verdict is AutonomyVerdict.LASTS


def test_unknown_duty_and_battery_are_named() -> None:
    pump = Load(load_id="p", label="Pump", current_a=5.0, duty_by_state={"at anchor": None})
    unknown = Battery(capacity_ah=None, chemistry=None)
    balance = daily_balance(plan=WEEKEND, loads=[pump], battery=unknown)
    assert autonomy(balance=balance, battery=unknown).missing == (
        Missing("Battery", "capacity"),
        Missing("Battery", "chemistry or usable depth"),
        Missing("Pump", "duty in at anchor"),
    )


def test_unknown_charger_clouds_only_the_figure_with_charging() -> None:
    solar = Charger(charger_id="s", label="Panels", kind=ChargerKind.SOLAR, peak_w=200.0)
    balance = daily_balance(plan=WEEKEND, loads=[FRIDGE], battery=LFP_200, chargers=[solar])
    result = autonomy(balance=balance, battery=LFP_200)
    assert result.verdict is AutonomyVerdict.LASTS
    assert result.verdict_with_charging is AutonomyVerdict.CANNOT_TELL
    assert Missing("Panels", "daily irradiation") in result.missing


def test_no_use_never_runs_out() -> None:
    balance = daily_balance(plan=WEEKEND, loads=[], battery=LFP_200)
    assert autonomy(balance=balance, battery=LFP_200).verdict is AutonomyVerdict.NEVER_RUNS_OUT


def test_day_plan_must_add_up_to_24_hours() -> None:
    with pytest.raises(BadInput, match=r"^Day plan: hours add up to 23 h, must be 24 h$"):
        DayPlan(hours_by_state={"under way": 3.0, "at anchor": 20.0})


def test_day_plan_from_hours_counts_each_state() -> None:
    plan = DayPlan.from_hours(["at anchor"] * 8 + ["under way"] * 6 + ["at anchor"] * 10)
    assert plan.hours_by_state == {"at anchor": 18.0, "under way": 6.0}


@pytest.mark.parametrize(
    ("kwargs", "message"),
    [
        ({"current_a": -1.0}, "Lamp: current: -1 A is below 0 A"),
        ({"current_a": float("nan")}, "Lamp: current: nan is not a number"),
        ({"duty_by_state": {"at anchor": 1.2}}, "Lamp: duty in at anchor: 1.2 is above 1"),
    ],
)
def test_impossible_load_names_quantity_and_limit(kwargs: dict[str, object], message: str) -> None:
    values = {"load_id": "1", "label": "Lamp", "current_a": 1.0, "duty_by_state": {}} | kwargs
    with pytest.raises(BadInput) as caught:
        Load(**values)  # type: ignore[arg-type]
    assert str(caught.value) == message
