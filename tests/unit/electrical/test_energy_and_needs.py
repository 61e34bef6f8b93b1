"""Daily amp-hours of a job, and what its circuits take from the catalogue."""

from decimal import Decimal

import pytest

from catalogue.models import BatteryData, InverterData
from electrical import circuits
from electrical.check import check
from electrical.core.findings import Severity
from electrical.day_plans import set_duties
from electrical.energy_page import EnergyPage
from electrical.energy_sheet import energy_sheet
from electrical.models import Circuit, Device, OperatingState
from electrical.needs import needs
from electrical.wiring.wire_up import wire_up
from fitout.jobs.models import Job
from fitout.kit.models import Role, User
from tests.factories.electrical import (
    make_battery,
    make_load,
    make_small_vessel,
    make_terminal,
    put,
    set_day,
    usual_loads,
)
from tests.factories.jobs import make_part
from tests.factories.people import make_user

pytestmark = pytest.mark.django_db
AT_ANCHOR_ALL_DAY = {
    **dict.fromkeys(OperatingState.values, Decimal(0)),
    OperatingState.AT_ANCHOR.value: Decimal(24),
}


@pytest.fixture
def by() -> User:
    return make_user(role=Role.ESTIMATOR)


@pytest.fixture
def job(by: User) -> Job:
    return make_small_vessel(by, loads=[(make_load("Fridge", current_a="4", duty="0.25"), "HM")])


def test_use_is_current_times_duty_times_hours(job: Job, by: User) -> None:
    # 4 A × 0.25 × 24 h = 24 Ah, and 0.1 Ah lost at rest; 100 Ah AGM, half of it usable.
    set_day(job, AT_ANCHOR_ALL_DAY, by)
    energy = check(job).energy
    assert energy.balance.use_ah == pytest.approx(24.0)
    assert energy.autonomy.days == pytest.approx(50 / 24.1)


def test_the_working_of_the_day_says_how_and_where_from(job: Job, by: User) -> None:
    set_day(job, AT_ANCHOR_ALL_DAY, by)
    checked = check(job)
    page = EnergyPage(checked.facts, checked.energy)
    steps = {step.name: step for step in page.steps}
    assert [name for name, step in steps.items() if not (step.formula and step.source)] == []
    assert steps["Used in a day"].value == "24.0\N{NO-BREAK SPACE}Ah"
    assert steps["Usable of them"].formula == "100 × 0.5"
    assert "second-hand" in steps["Usable of them"].source
    assert steps["Lost to fast use"].value == "0.0\N{NO-BREAK SPACE}Ah"
    assert steps["Lost at rest"].value == "0.1\N{NO-BREAK SPACE}Ah"
    assert steps["Without charging"].formula == "50 ÷ (24.0 + 0.1)"
    assert page.losses.startswith("The days count 0.1\N{NO-BREAK SPACE}Ah a day on top")
    assert page.losses in energy_sheet(checked).assumptions
    assert steps["Without charging"].value == "2.1\N{NO-BREAK SPACE}days"
    assert dict(page.facts_shown)["Without charging"] == steps["Without charging"].value
    assert dict(page.facts_shown)["With charging"] == steps["With charging"].value


def test_a_small_use_is_not_shown_as_none(by: User) -> None:
    job = make_small_vessel(by, loads=[(make_load("Monitor", current_a="0.01", duty="0.1"), "HM")])
    set_day(job, AT_ANCHOR_ALL_DAY, by)
    checked = check(job)
    row = EnergyPage(checked.facts, checked.energy).rows[0]
    assert row.current == "0.01\N{NO-BREAK SPACE}A"
    assert row.total.text == "< 0.1"


def test_of_batteries_with_other_limits_the_one_that_asks_for_more_counts(by: User) -> None:
    job = make_small_vessel(by, loads=[(make_load("Fridge", current_a="4"), "HM")])
    BatteryData.objects.update(rated_h=5, min_charge_temp_c=-10)
    battery = check(job).energy.battery
    assert (battery.rated_hours, battery.min_charge_c) == (5.0, -10.0)
    colder = make_battery("House battery 2", rated_h=20, min_charge_temp_c=5)
    put(job, colder, "BL", by=by)
    battery = check(job).energy.battery
    assert (battery.rated_hours, battery.min_charge_c) == (20.0, 5.0)
    BatteryData.objects.filter(part=colder).update(min_charge_temp_c=None)
    assert check(job).energy.battery.min_charge_c == -10.0  # the usual for the other is lower


def test_the_makers_usable_part_and_efficiency_prevail(job: Job, by: User) -> None:
    set_day(job, AT_ANCHOR_ALL_DAY, by)
    BatteryData.objects.update(usable_pct=Decimal(60), charge_efficiency_pct=Decimal(95))
    energy = check(job).energy
    assert energy.autonomy.usable_ah == pytest.approx(60.0)
    assert energy.autonomy.days == pytest.approx(60 / 24.1)
    assert energy.battery.coulombic_efficiency == pytest.approx(0.95)
    assert energy.autonomy.usable_depth is not None
    assert energy.autonomy.usable_depth.source == "as entered for this battery"
    # 100 Ah of which 60 and 300 Ah of which 80 are usable.
    second = make_battery("House battery 2", capacity_ah="300", usable_pct=Decimal(80))
    put(job, second, "BL", by=by)
    energy = check(job).energy
    assert energy.autonomy.usable_ah == pytest.approx(300.0)
    assert energy.battery.coulombic_efficiency is None
    BatteryData.objects.filter(part=second).update(usable_pct=None)
    assert check(job).energy.autonomy.usable_ah == pytest.approx(0.5 * 400)
    # One maker who asks for more is not outvoted by the convention of the other.
    own = BatteryData.objects.exclude(part=second)
    own.update(
        usable_pct=Decimal(20),
        charge_efficiency_pct=Decimal(70),
        max_charge_a=Decimal(5),
        min_charge_temp_c=3,
    )
    battery = check(job).energy.battery
    assert battery.usable_depth == pytest.approx((0.2 * 100 + 0.5 * 300) / 400)
    assert battery.coulombic_efficiency == pytest.approx(0.70)
    assert battery.acceptance_a == pytest.approx(5.0 + 0.3 * 300.0)
    assert battery.min_charge_c == 3.0


def test_the_working_cites_the_makers_efficiency_that_was_counted(job: Job, by: User) -> None:
    set_day(job, AT_ANCHOR_ALL_DAY, by)
    BatteryData.objects.update(charge_efficiency_pct=Decimal(80))
    checked = check(job)
    back = {s.name: s for s in EnergyPage(checked.facts, checked.energy).steps}["Amp-hours back"]
    assert back.value == "0.8"
    assert "as entered for this battery" in back.source


def test_what_is_known_of_a_sum_is_told_as_the_least_it_can_be(by: User) -> None:
    """Nobody has told for what part of the time the inverter is on."""
    part = make_part(description="Inverter", kind="inverter", category="converters")
    InverterData.objects.create(
        part=part, input_v=Decimal(12), output_w=Decimal(100), efficiency_pct=Decimal(90)
    )
    fridge = make_load("Fridge", current_a="4", duty="0.25")
    job = make_small_vessel(by, loads=[(fridge, "HM"), (part, "HM")])
    set_day(job, AT_ANCHOR_ALL_DAY, by)
    checked = check(job)
    page = EnergyPage(checked.facts, checked.energy)
    assert page.total.text == "at least 24.0"
    assert dict(page.facts_shown)["Used in a day"] == "at least 24.0\N{NO-BREAK SPACE}Ah"
    assert page.profiles[0].deepest == "not known"
    assert {row.below.text for row in page.hours} == {"not known"}
    assert page.deepest.startswith("not known")
    steps = {step.name: step for step in page.steps}
    assert steps["Used in a day"].value.startswith("at least")
    assert steps["Without charging"].formula == "not all of it is known"
    assert energy_sheet(checked).total == "at least 24.0\N{NO-BREAK SPACE}Ah"


def test_an_inverter_is_wired_for_its_lowest_input(by: User) -> None:
    """1000 W at 90 %: 92.6 A at 12 V, 105.8 A at 10.5 V."""
    part = make_part(description="Inverter", kind="inverter", category="converters")
    InverterData.objects.create(
        part=part,
        input_v=Decimal(12),
        input_min_v=Decimal("10.5"),
        output_w=Decimal(1000),
        efficiency_pct=Decimal(90),
    )
    job = make_small_vessel(by, loads=[(part, "HM")])
    wire_up(job, by)
    checked = check(job)
    lead = Circuit.objects.get(members__device__name="Inverter")
    found = checked.result_of(lead)
    assert found is not None
    assert found.currents is not None
    assert found.currents.design_a == pytest.approx(1000 / 0.9 / 10.5)
    (row,) = checked.energy.balance.rows
    assert row.battery_current_a == pytest.approx(1000 / 0.9 / 12)
    assert checked.result is not None
    limits = [one.limit for one in checked.result.checks if one.rule_id == "working-voltage"]
    assert limits == [10.5]


def test_a_duty_set_for_the_device_counts_instead(job: Job, by: User) -> None:
    set_day(job, AT_ANCHOR_ALL_DAY, by)
    check(job)
    fridge = Device.objects.get(job=job, name="Fridge")
    set_duties(fridge, {"at_anchor": Decimal("0.5")}, by)
    assert check(job).energy.balance.use_ah == pytest.approx(48.0)
    set_duties(fridge, {"at_anchor": None}, by)
    assert check(job).energy.balance.use_ah == pytest.approx(24.0)


def test_fewer_days_than_asked_for_need_attention(job: Job, by: User) -> None:
    set_day(job, AT_ANCHOR_ALL_DAY, by)
    Job.objects.filter(pk=job.pk).update(autonomy_asked_days=Decimal("3"))
    job.refresh_from_db()
    energy = check(job).energy
    assert energy.severity is Severity.ATTENTION
    assert "do not meet the 3 days" in energy.sentence


def test_an_engine_start_is_no_use_of_the_house_battery(job: Job, by: User) -> None:
    starter = make_load(
        "Starter",
        current_a="150",
        function="engine",
        nature="motor",
        duty="0",
        duty_engine_start=Decimal(1),
    )
    put(job, starter, "EW", by=by)
    labels = [row.label for row in check(job).energy.balance.rows]
    assert not any("Starter" in label for label in labels)


def test_needs_are_both_conductors_fuse_terminals_and_labels(by: User) -> None:
    job = make_small_vessel(by, loads=usual_loads())
    ring = make_terminal("ring", "0.5", "6", stud_mm="5")
    butt = make_terminal("butt", "0.5", "6")
    lug = make_terminal("lug", "10", "95", stud_mm="8")
    label = make_part(
        description="Cable label, printed", category="terminals", kind="general", unit="pair"
    )
    wire_up(job, by)
    pump = Circuit.objects.get(members__device__name="Wash pump")
    circuits.edit(
        pump, by=by, version=pump.version, length_override_m=Decimal("7.25"), cable=pump.cable
    )
    found = [(n.part, n.quantity) for n in needs(job) if n.circuit.pk == pump.pk]
    metres = {part.cabledata.colour: q for part, q in found if part.kind == "cable"}
    assert metres == {"red": Decimal("7.2"), "yellow": Decimal("7.2")}
    assert (pump.protection, Decimal(1)) in found
    assert (label, Decimal(1)) in found
    small = pump.cable.cabledata.size_mm2 <= 6  # type: ignore[union-attr]
    assert ((ring if small else lug), Decimal(2)) in found
    assert ((butt if small else lug), Decimal(2)) in found


def test_needs_take_a_constant_number_of_queries(
    by: User, django_assert_max_num_queries: object
) -> None:
    job = make_small_vessel(by, loads=usual_loads())
    wire_up(job, by)
    with django_assert_max_num_queries(16):  # type: ignore[operator]
        assert needs(job)
