"""What charges the house batteries: a DC-DC charger gives what the alternator can spare."""

from decimal import Decimal

import pytest

from catalogue.models import ChargingSourceData, Part
from electrical.check import check
from electrical.core.energy.autonomy import AutonomyVerdict
from electrical.core.findings import Severity
from electrical.energy_page import ChargeLine, EnergyPage
from electrical.facts import load_facts
from electrical.models import Circuit, CircuitDevice, CircuitRole, Device, OperatingState
from electrical.wiring.wire_up import wire_up
from electrical.year.inputs import inputs_of
from fitout.jobs.models import Job
from fitout.kit.models import User
from tests.factories.electrical import (
    make_alternator,
    make_battery,
    make_charger,
    make_load,
    make_small_vessel,
    put,
    set_day,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def by(estimator: User) -> User:
    return estimator


def vessel(by: User, *parts: Part, capacity_ah: str = "400") -> Job:
    """A starting battery, what is given, and a house battery that accepts all of it."""
    loads = [(make_load("Fridge", current_a="4", duty="0.25"), "HM")]
    job = make_small_vessel(by, loads=loads)
    put(job, make_battery("House battery 2", capacity_ah=capacity_ah), "BL", by=by)
    put(job, make_battery("Start battery", use="start"), "EW", by=by)
    for part in parts:
        put(job, part, "EW", by=by)
    wire_up(job, by)
    hours = dict.fromkeys(OperatingState.values, Decimal(0))
    set_day(job, hours | {"under_way_day": Decimal(2), "at_anchor": Decimal(22)}, by)
    return job


def lines(job: Job) -> list[ChargeLine]:
    checked = check(job)
    return EnergyPage(checked.facts, checked.energy).charges


def current_a(job: Job) -> list[float | None]:
    return [row.current_a for row in check(job).energy.balance.charge_rows]


def test_a_small_alternator_limits_the_charger(by: User) -> None:
    # 70 % of 40 A are 28 A in; at 90 % and 12 V on both sides 25.2 A come out.
    job = vessel(by, make_alternator(output_a="40"), make_charger())
    assert current_a(job) == [pytest.approx(25.2)]
    (line,) = lines(job)
    assert line.why.startswith("Limited by the alternator: 28.0\N{NO-BREAK SPACE}A to spare")
    assert "common practice, no source" in line.why
    assert "for 30.0\N{NO-BREAK SPACE}A the charger would need more" in line.why
    # AGM gives back 90 % of the two hours' charge.
    assert line.stored == f"{25.2 * 2 * 0.9:.1f}\N{NO-BREAK SPACE}Ah"


def test_a_large_alternator_leaves_the_charger_its_rating(by: User) -> None:
    job = vessel(by, make_alternator(output_a="120"), make_charger())
    assert current_a(job) == [30.0]
    assert "takes 33.3\N{NO-BREAK SPACE}A of 84.0\N{NO-BREAK SPACE}A to spare" in lines(job)[0].why


def test_an_engine_charges_through_its_starting_leads(by: User) -> None:
    engine = make_alternator("Outboard", output_a="20")
    starter = make_load("Starter", current_a="150", function="engine", nature="motor", duty="0")
    data = starter.loaddata
    data.pk, data.part = None, engine
    data.save()
    job = vessel(by, engine, make_charger())
    assert Circuit.objects.filter(job=job, role=CircuitRole.STARTING).exists()
    assert current_a(job) == [pytest.approx(20 * 0.7 * 0.9)]


def test_what_lives_on_the_starting_battery_comes_first(by: User) -> None:
    job = vessel(by, make_alternator(output_a="40"), make_charger())
    put(job, make_load("Ignition", current_a="5", function="engine", duty="0.8"), "EW", by=by)
    check(job)
    battery = Device.objects.get(job=job, name="Start battery")
    lead = Circuit.objects.create(
        job=job, number=90, name="Ignition", origin=battery, nominal_v=Decimal(12)
    )
    ignition = Device.objects.get(job=job, name="Ignition")
    CircuitDevice.objects.create(circuit=lead, device=ignition, position=1)
    assert current_a(job) == [pytest.approx((28 - 5 * 0.8) * 0.9)]


def test_two_chargers_share_one_alternator_by_what_they_ask_for(by: User) -> None:
    large = make_charger("Charger of 60 A", output_a=Decimal("60"))
    job = vessel(by, make_alternator(output_a="40"), make_charger(), large)
    third_a = 28 * 0.9 / 3
    assert current_a(job) == [pytest.approx(third_a), pytest.approx(2 * third_a)]
    assert all("its part beside other chargers" in line.why for line in lines(job))


def test_without_an_alternator_ahead_it_can_not_tell(by: User) -> None:
    job = vessel(by, make_charger())
    assert current_a(job) == [None]
    energy = check(job).energy
    assert energy.autonomy.verdict is AutonomyVerdict.LASTS
    assert energy.autonomy.verdict_with_charging is AutonomyVerdict.CANNOT_TELL
    (line,) = lines(job)
    assert line.why == "Cannot tell without the alternator ahead of the charger, wired to it."
    gaps = [gap.words for gap in inputs_of(load_facts(job)).gaps]
    assert any(words.endswith("alternator ahead of the charger, wired to it") for words in gaps)


def test_without_its_efficiency_it_can_not_tell(by: User) -> None:
    job = vessel(by, make_alternator(output_a="40"), make_charger())
    ChargingSourceData.objects.filter(source="dcdc").update(efficiency_pct=None)
    assert current_a(job) == [None]
    assert lines(job)[0].why == "Cannot tell without the efficiency of the charger."


def test_figures_that_can_not_be_are_no_failure(by: User) -> None:
    job = vessel(by, make_alternator(output_a="900"), make_charger())
    put(job, make_alternator("Second", output_a="900"), "EW", by=by)
    wire_up(job, by)
    (line,) = lines(job)
    assert line.why == "Cannot tell: Alternator: current: 1800 A is above 1000 A."
    ChargingSourceData.objects.filter(source="dcdc").update(efficiency_pct=Decimal("0.5"))
    assert lines(job)[0].why == "Cannot tell without the efficiency of the charger."


def test_an_alternator_straight_on_the_house_is_hot_as_well(by: User) -> None:
    job = vessel(by, make_alternator(output_a="40"))
    lead = Circuit.objects.get(job=job, role=CircuitRole.CHARGING)
    bar = Device.objects.get(job=job, name="Busbar")
    CircuitDevice.objects.filter(circuit=lead).update(device=bar)
    assert current_a(job) == [pytest.approx(28.0)]


def test_what_the_battery_does_not_accept_is_told(by: User) -> None:
    job = vessel(by, make_charger("Mains", source="mains", output_a=Decimal(300)))
    assert lines(job)[0].why.endswith("The battery accepts less, and that is counted.")


def test_the_year_runs_with_the_same_current_and_says_why(by: User) -> None:
    job = vessel(by, make_alternator(output_a="40"), make_charger())
    inputs = inputs_of(load_facts(job))
    assert [charger.current_a for charger in inputs.chargers] == [pytest.approx(25.2)]
    assert "Limited by the alternator" in inputs.charging[0]


def at_work(job: Job, by: User) -> None:
    hours = dict.fromkeys(OperatingState.values, Decimal(0))
    day = {"under_way_day": Decimal(2), "working": Decimal(4), "at_anchor": Decimal(18)}
    set_day(job, hours | day, by)


def test_an_idling_alternator_spares_less_for_the_charger(by: User) -> None:
    alternator = make_alternator(output_a="60", output_engine_idle_a=Decimal(20))
    job = vessel(by, alternator, make_charger())
    at_work(job, by)
    # 70 % of 20 A are 14 A in; at 90 % and 12 V on both sides 12.6 A come out.
    assert current_a(job) == [30.0, pytest.approx(12.6)]
    turning, idling = lines(job)
    assert idling.label == f"{turning.label}, engine idling"
    assert "14.0\N{NO-BREAK SPACE}A to spare" in idling.why
    assert "20.0\N{NO-BREAK SPACE}A at idle" in idling.why
    assert idling.why.endswith(
        "the engine is taken to idle while fishing or working (common practice, no source)."
    )
    # AGM gives back 90 %: two hours under way, four at work.
    assert turning.stored == f"{30 * 2 * 0.9:.1f}\N{NO-BREAK SPACE}Ah"
    assert idling.stored == f"{12.6 * 4 * 0.9:.1f}\N{NO-BREAK SPACE}Ah"
    assert len(inputs_of(load_facts(job)).chargers) == 2


def test_enough_at_idle_needs_no_second_line(by: User) -> None:
    alternator = make_alternator(output_a="120", output_engine_idle_a=Decimal(60))
    job = vessel(by, alternator, make_charger())
    at_work(job, by)
    assert current_a(job) == [30.0]


def test_an_output_at_idle_that_is_not_told_is_said(by: User) -> None:
    job = vessel(by, make_alternator(output_a="120"), make_charger())
    assert "idle" not in lines(job)[0].why
    at_work(job, by)
    assert current_a(job) == [30.0]
    assert lines(job)[0].why.endswith(
        "Its output at idle is not told; the same is taken while fishing or working."
    )


@pytest.mark.parametrize("is_limited", [True, False])
def test_only_an_alternator_that_limits_itself_goes_without_a_device(
    by: User, is_limited: bool
) -> None:
    job = vessel(by, make_alternator(output_a="60", output_limited=is_limited))
    lead = Circuit.objects.get(job=job, role=CircuitRole.CHARGING)
    assert lead.end_protection is not None
    assert (lead.protection is None) is is_limited
    Circuit.objects.filter(pk=lead.pk).update(protection=None)
    result = check(job).result_of(lead)
    assert result is not None
    (found,) = [one for one in result.checks if one.rule_id == "protected"]
    assert found.severity is (Severity.PASS if is_limited else Severity.STOP)
