"""An emergency parallel switch: its leads, what joins which batteries, the start through it."""

from decimal import Decimal
from typing import Any

import pytest

from catalogue.models import BatteryData, Part, SwitchData
from electrical.adapters.design import EMERGENCY_START
from electrical.check import Checked, check
from electrical.circuits import edit
from electrical.core.asked import ASKED_RULES
from electrical.core.findings import Finding, Severity
from electrical.devices import tell
from electrical.listing import Listing
from electrical.models import Circuit, CircuitRole, Device
from electrical.needs import needs
from electrical.states_page import StatesPage
from electrical.wiring.wire_up import wire_up
from electrical.working import working_of
from fitout.jobs.models import Job
from fitout.kit.models import User
from tests.factories.electrical import (
    make_battery,
    make_cable,
    make_load,
    make_protection,
    make_small_vessel,
    make_terminal,
    put,
)
from tests.factories.jobs import make_part

pytestmark = pytest.mark.django_db

CRANK_A = Decimal("150")


def make_parallel_switch(name: str = "Emergency switch", *, cranking_a: str = "500") -> Part:
    part = make_part(description=name, kind="switch", category="distribution")
    SwitchData.objects.create(
        part=part,
        rated_v=Decimal("48"),
        continuous_a=Decimal("300"),
        cranking_a=Decimal(cranking_a),
        is_emergency_parallel=True,
    )
    return part


def make_engine(**data: Any) -> Part:
    values: dict[str, Any] = {"duty_engine_start": Decimal("1.0"), "min_v": Decimal("9")}
    return make_load(
        "Engine",
        current_a=str(CRANK_A),
        function="engine",
        nature="constant_current",
        **values | data,
    )


@pytest.fixture
def by(estimator: User) -> User:
    return estimator


@pytest.fixture
def bare(by: User) -> Job:
    """Two batteries and a switch that nothing joins yet."""
    job = make_small_vessel(by)
    for part, zone in (
        (make_battery("Start battery", use="start"), "EW"),
        (make_engine(), "EW"),
        (make_parallel_switch(), "BL"),
    ):
        put(job, part, zone, by=by)
    return job


@pytest.fixture
def job(bare: Job, by: User) -> Job:
    wire_up(bare, by)
    return bare


def told(job: Job, by: User, **answers: object) -> None:
    switch = Device.objects.get(job=job, name="Emergency switch")
    tell(switch, by=by, version=switch.version, **answers)


def leads(job: Job) -> list[Circuit]:
    found = Circuit.objects.filter(job=job, role=CircuitRole.LINK)
    return list(found.select_related("origin", "cable__cabledata").order_by("number"))


def found(job: Job, rule_id: str, circuit: Circuit | None = None) -> Finding:
    result = check(job).result
    assert result is not None
    subjects = {str(circuit.pk)} if circuit else {f.subject.id for f in result.checks}
    (one,) = [f for f in result.checks if f.rule_id == rule_id and f.subject.id in subjects]
    return one


def lead_ohm(checked: Checked, circuit: Circuit) -> float:
    result = checked.result_of(circuit)
    assert result is not None
    assert result.resistance is not None
    return result.resistance.loop_r_ohm


def test_wire_up_makes_a_lead_from_either_battery_with_cable_and_device(job: Job) -> None:
    found = leads(job)
    assert {lead.origin.name for lead in found} == {"House battery", "Start battery"}
    for lead in found:
        assert lead.cable is not None
        assert lead.protection is not None
        assert lead.end_protection is None
        assert lead.always_live
        assert [device.name for device in lead.devices.all()] == ["Emergency switch"]
    assert [c.number for c in found] == sorted(c.number for c in Circuit.objects.filter(job=job))[
        -2:
    ]


def test_wiring_up_again_changes_nothing(job: Job, by: User) -> None:
    again = wire_up(job, by)
    assert (again.made, again.changed, again.removed) == (0, 0, 0)
    leads(job)[0].delete()
    assert wire_up(job, by).made == 1
    assert len({lead.origin_id for lead in leads(job)}) == 2


def test_no_rule_of_a_lead_is_broken_by_what_wire_up_chose(job: Job) -> None:
    checked = check(job)
    for lead in leads(job):
        result = checked.result_of(lead)
        assert result is not None
        judged = {f.rule_id: f.severity for f in result.checks}
        assert judged["protected"] is Severity.PASS
        assert judged["both-ends"] is Severity.PASS
        assert judged["ampacity"] is Severity.PASS
        assert judged["rating"] is Severity.PASS
        assert judged["always-live"] is Severity.NOTE
        curve = ("time-current curve of the device",)
        odd = [f for f in result.checks if f.is_open and f.rule_id in ASKED_RULES]
        assert [f.message for f in odd if f.missing != curve] == []


def test_the_start_through_the_link_is_solved(job: Job) -> None:
    """The house battery (12 V, 5 mΩ by 2400 A short circuit) alone turns the engine over."""
    checked = check(job)
    assert checked.result is not None
    state = checked.result.states[EMERGENCY_START.id]
    assert state.solved
    (link_a,) = state.link_a.values()
    first, second = leads(job)
    r_ohm = 0.005 + lead_ohm(checked, first) + lead_ohm(checked, second) + 4e-5
    at_start_v = 12.0 - r_ohm * float(CRANK_A)
    expected_a = float(CRANK_A)
    if at_start_v > 0.96 * 12.0:
        expected_a += (at_start_v - 0.96 * 12.0) / (r_ohm + 0.005)
    assert link_a == pytest.approx(expected_a, rel=1e-4)
    for lead in (first, second):
        assert state.circuit_a[str(lead.pk)] == pytest.approx(link_a)
    (engine_v,) = state.starting_v.values()
    assert 10.0 < engine_v < at_start_v
    assert found(job, "emergency-start").value == pytest.approx(engine_v)
    assert found(job, "link-start").value == pytest.approx(link_a)
    assert found(job, "link-start").severity is Severity.PASS


def test_the_switch_must_carry_the_start(job: Job) -> None:
    SwitchData.objects.filter(is_emergency_parallel=True).update(cranking_a=Decimal("120"))
    assert found(job, "link-start").severity is Severity.STOP


def test_an_engine_that_needs_more_voltage_is_told(job: Job) -> None:
    assert found(job, "emergency-start").severity is Severity.PASS
    thin = make_cable("10", colour="brown")
    for lead in leads(job):
        assert lead.changed_by is not None
        edit(lead, by=lead.changed_by, version=lead.version, cable=thin)
    parts = Part.objects.filter(description="Engine")
    for part in parts:
        part.loaddata.min_v = Decimal("11.5")
        part.loaddata.save()
    judged = found(job, "emergency-start")
    assert judged.severity is Severity.ATTENTION
    assert judged.remedies[0].label == "Thicker leads to the emergency switch"
    assert found(job, "ampacity", leads(job)[0]).severity is Severity.ATTENTION
    assert found(job, "rating", leads(job)[0]).severity is Severity.STOP


def test_before_wiring_it_says_what_is_missing(bare: Job) -> None:
    checked = check(bare)
    assert checked.result is not None
    assert EMERGENCY_START.id not in checked.result.states
    assert found(bare, "link-current").missing == ("resistance of its leads",)
    (unwired,) = [f for f in checked.own if f.rule_id == "unwired"]
    assert "Emergency switch" in unwired.message


def test_without_a_second_battery_wire_up_says_so(by: User) -> None:
    job = make_small_vessel(by)
    put(job, make_parallel_switch(), "BL", by=by)
    done = wire_up(job, by)
    assert [gap.missing for gap in done.gaps] == ["second battery"]
    assert leads(job) == []


def test_two_engines_have_each_its_own_switch(by: User) -> None:
    job = make_small_vessel(by)
    start, switch = make_battery("Start battery", use="start"), make_parallel_switch()
    put(job, start, "EW", by=by, quantity=2)
    put(job, switch, "BL", by=by, quantity=2)
    wire_up(job, by)
    joined: dict[int, set[str]] = {}
    for lead in leads(job):
        joined.setdefault(lead.devices.get().pk, set()).add(lead.origin.label)
    assert len(joined) == 2
    one, other = joined.values()
    assert len(one | other) == 3
    assert len(one & other) == 1  # the house battery helps both


def test_without_an_engine_the_leads_are_chosen_for_what_the_switch_may_carry(by: User) -> None:
    job = make_small_vessel(by)
    put(job, make_battery("Start battery", use="start"), "EW", by=by)
    put(job, make_parallel_switch(), "BL", by=by)
    SwitchData.objects.filter(is_emergency_parallel=True).update(continuous_a=Decimal("120"))
    wire_up(job, by)
    checked = check(job)
    assert checked.result is not None
    assert EMERGENCY_START.id not in checked.result.states
    for lead in leads(job):
        result = checked.result_of(lead)
        assert result is not None
        assert result.currents is not None
        assert result.currents.design_a == 120.0
        assert lead.protection is not None
        assert lead.protection.protectivedevicedata.rating_a >= 120
    (reason,) = StatesPage(checked).left_out
    assert reason.endswith(
        "Its leads are chosen for the 120\N{NO-BREAK SPACE}A the switch may carry."
    )


def test_lithium_needs_a_limiter_to_lead_acid(job: Job, by: User) -> None:
    BatteryData.objects.filter(use="house").update(chemistry="lfp")
    assert found(job, "link-chemistry").missing == ("current limiter of the link",)
    told(job, by, link_is_limited=False)
    assert found(job, "link-chemistry").severity is Severity.STOP
    told(job, by, link_is_limited=True)
    assert found(job, "link-chemistry").severity is Severity.PASS
    assert found(job, "link-current").severity is Severity.PASS
    result = check(job).result
    assert result is not None
    assert EMERGENCY_START.id not in result.states


def test_its_leads_are_ordered_listed_and_worked_out(job: Job) -> None:
    make_terminal("lug", "10", "120", stud_mm="8")
    checked = check(job)
    listing = Listing(checked, {})
    for lead in leads(job):
        needed: dict[str, Decimal] = {}
        for need in needs(job):
            if need.circuit == lead:
                name = need.part.description
                needed[name] = needed.get(name, Decimal(0)) + need.quantity
        length_m = checked.runs[lead.pk].length_m
        assert length_m is not None
        assert lead.cable is not None
        metres = Decimal(f"{length_m:.1f}")
        size = lead.cable.cabledata.size_mm2.normalize()
        assert needed[lead.cable.description] == metres
        assert needed[f"Cable, {size:f} mm², yellow"] == metres
        assert needed["lug 120"] == 3  # the negative passes the switch
        assert lead.protection is not None
        assert needed[lead.protection.description] == 1
        row = listing.row(lead)
        assert row.to_text.startswith("S")
        assert row.load_a == pytest.approx(float(CRANK_A), rel=0.2)
        (current,) = [s for s in working_of(checked, lead) if s.title == "Current"]
        (fault,) = [s for s in working_of(checked, lead) if s.title == "Fault current"]
        assert "every source that reaches it, the emergency switch closed" in fault.steps[0].formula
        assert current.steps[0].name == "Current emergency start"
        assert current.steps[0].formula == "the switch closed, the battery it helps empty"


@pytest.mark.parametrize("count", [2, 3])
def test_each_parallel_battery_is_a_string_with_its_own_device(by: User, count: int) -> None:
    job = make_small_vessel(by)
    put(job, make_battery("Second battery"), "BL", by=by, quantity=count - 1)
    make_protection("class_t", "100")
    wire_up(job, by)
    assert strings(job) == [Severity.PASS] * count
    lead = Circuit.objects.filter(job=job, role=CircuitRole.SOURCE).order_by("-number")[0]
    edit(lead, by=by, version=lead.version, protection=None, end_protection=None)
    assert sorted(strings(job)) == sorted([Severity.ATTENTION, *[Severity.PASS] * (count - 1)])
    told = [f for f in check(job).findings if f.rule_id == "strings"]
    assert len(told) == 1
    assert lead.label in told[0].message
    assert f"one of {count} batteries in parallel" in told[0].message


def strings(job: Job) -> list[Severity]:
    result = check(job).result
    assert result is not None
    return [f.severity for f in result.checks if f.rule_id == "strings"]


def test_one_battery_is_no_string(by: User) -> None:
    job = make_small_vessel(by)
    wire_up(job, by)
    assert strings(job) == []
