"""An engine started from another battery through an emergency link, and the link's leads."""

from dataclasses import replace
from typing import Any

import pytest

from electrical.core.check import check_design
from electrical.core.design import Circuit, CircuitRole, Design, OperatingState, ParallelLink, Route
from electrical.core.errors import BadInput
from electrical.core.fault_levels import point_fault
from electrical.core.findings import Severity
from electrical.core.parts import Cable, DeviceType, Load, LoadKind, Place, Protection
from electrical.core.results import DesignResult
from electrical.core.sizes import mm2
from electrical.core.sources import Chemistry, Source
from tests.unit.core.designs import battery, board, branch, design, feeder
from tests.unit.core.verdicts import check, checks, severity

START = OperatingState(id="start", label="engine start", starting=True)
EMERGENCY = OperatingState(
    id="emergency", label="emergency start", starting=True, emergency=True, loads_as="start"
)
UNDER_WAY = OperatingState(id="way", label="under way")
STATES = (UNDER_WAY, START, EMERGENCY)
CRANK_A = 150.0
FUSE = Protection(
    rating_a=200.0,
    device=DeviceType.CLASS_T,
    breaking_capacity_a=20_000.0,
    rated_v=32.0,
    distance_m=0.1,
)


def starter_battery(**changes: Any) -> Source:
    start: dict[str, Any] = {"id": "start", "label": "Start battery", "internal_r_ohm": 0.006}
    return battery(**start | changes)


def starter(**changes: Any) -> Load:
    base = Load(
        id="M",
        label="Engine",
        current_a=CRANK_A,
        kind=LoadKind.CONSTANT_CURRENT,
        current_a_by_state={"start": CRANK_A},
    )
    return replace(base, **changes)


def cranking(**changes: Any) -> Circuit:
    base = Circuit(
        id="S1",
        label="S1",
        from_id="start",
        role=CircuitRole.STARTING,
        nominal_v=12.0,
        cable=Cable(size=mm2(70)),
        route=Route(length_m=2.0),
        loads=(starter(),),
    )
    return replace(base, **changes)


def lead(from_id: str, **changes: Any) -> Circuit:
    base = Circuit(
        id=f"L-{from_id}",
        label=f"Lead {from_id}",
        from_id=from_id,
        to_id="K",
        role=CircuitRole.LINK,
        nominal_v=12.0,
        cable=Cable(size=mm2(95)),
        route=Route(length_m=1.5),
        protection=FUSE,
        always_live=True,
    )
    return replace(base, **changes)


def link(**changes: Any) -> ParallelLink:
    base = ParallelLink(
        id="K",
        label="Emergency switch",
        first_id="start",
        second_id="house",
        rating_a=300.0,
        starting_a=1000.0,
    )
    return replace(base, **changes)


def vessel(*leads: Circuit, **changes: Any) -> Design:
    parts: dict[str, Any] = {
        "sources": (battery(), starter_battery()),
        "links": (link(),),
        "states": STATES,
    }
    leads = leads or (lead("house"), lead("start"))
    circuits = (feeder(), branch(), changes.pop("start", cranking()), *leads)
    return design(*circuits, **parts | changes)


def design_a(result: DesignResult, circuit_id: str) -> float:
    currents = result.circuits[circuit_id].currents
    assert currents is not None
    return currents.design_a


@pytest.mark.parametrize("house_ohm", [0.004, 0.0005])
def test_the_link_carries_the_start_and_what_the_empty_battery_takes(house_ohm: float) -> None:
    """House (12 V, r + both leads) on 150 A beside an empty battery (0.96 · 12 V, 6 mΩ).

    Through 4 mΩ the voltage falls below the empty battery's own, which then gives nothing;
    through 0.5 mΩ it stays above and charges it. The house battery also feeds a lamp of 5 A:
    U_house = 12 − r (I + I_lamp). The switch counts as two joints.
    """
    result = check_design(vessel(sources=(battery(internal_r_ohm=house_ohm), starter_battery())))
    state = result.states["emergency"]
    assert state.solved
    leads_ohm = 0.0
    for name in ("L-house", "L-start"):
        found = result.circuits[name].resistance
        assert found is not None
        leads_ohm += found.loop_r_ohm
    lamp_a = state.circuit_a["C1"]
    helping_v = 12.0 - house_ohm * lamp_a
    through_ohm = house_ohm + leads_ohm + 2 * 2e-5
    taken_a = (helping_v - through_ohm * CRANK_A - 0.96 * 12.0) / (through_ohm + 0.006)
    assert (taken_a > 0.0) == (house_ohm < 0.001)
    expected_a = CRANK_A + max(taken_a, 0.0)
    assert state.link_a["K"] == pytest.approx(expected_a, rel=1e-6)
    for name in ("L-house", "L-start"):
        assert state.circuit_a[name] == pytest.approx(expected_a, rel=1e-6)
        assert design_a(result, name) == pytest.approx(expected_a, rel=1e-6)
    assert state.point_v["start"] == pytest.approx(helping_v - through_ohm * expected_a, rel=1e-6)
    crank = result.circuits["S1"].resistance
    assert crank is not None
    lost_v = crank.loop_r_ohm * CRANK_A
    assert state.starting_v["M"] == pytest.approx(state.point_v["start"] - lost_v, rel=1e-6)


def test_the_link_is_open_in_every_other_state() -> None:
    states = check_design(vessel()).states
    for name in ("way", "start"):
        assert states[name].link_a == {}
        assert states[name].circuit_a["L-house"] == 0.0
    assert states["start"].point_v["start"] == pytest.approx(12.0 - 0.006 * CRANK_A)
    assert states["start"].starting_v.keys() == {"M"}
    assert states["way"].starting_v == {}


def test_a_limiter_keeps_the_link_open() -> None:
    net = vessel(links=(link(current_limited=True),))
    assert check_design(net).states["emergency"].link_a == {}
    found = check(net, "complete", "L-house")
    assert found.missing == ("current that the limiter of Emergency switch lets through",)


IDLE = cranking(loads=(starter(current_a_by_state={}),))


@pytest.mark.parametrize(
    ("changes", "missing"),
    [
        ({"start": branch(id="S1")}, "engine that is started from Start battery"),
        ({"start": IDLE}, "starting current of the engine on Start battery"),
        ({"start": cranking(loads=(starter(current_a=None, current_a_by_state=None),))}, "Engine"),
    ],
)
def test_a_start_that_is_not_known_is_not_taken_for_none(
    changes: dict[str, Any], missing: str
) -> None:
    """Not known, or what the leads are made for; never the little that the loop then carries."""
    found = check(vessel(**changes), "complete", "L-house")
    assert missing in found.missing[0]
    made_for = [lead(name, max_current_a=250.0) for name in ("house", "start")]
    result = check_design(vessel(*made_for, **changes))
    assert design_a(result, "L-house") == design_a(result, "L-start") == 250.0
    currents = result.circuits["L-house"].currents
    assert currents is not None
    assert currents.by_state_a["way"] == 0.0
    assert checks(vessel(*made_for, **changes), "complete", "L-house") == []


def test_leads_that_are_made_for_something_ask_no_battery_for_it() -> None:
    made_for = [lead(name, max_current_a=250.0) for name in ("house", "start")]
    lithium = battery(chemistry=Chemistry.LFP, management_limit_a=100.0)
    net = vessel(
        *made_for, sources=(lithium, starter_battery()), links=(link(current_limited=True),)
    )
    assert severity(net, "management-limit", "house") is Severity.PASS


def test_the_emergency_changes_no_drop_of_other_states() -> None:
    usual = check_design(vessel(states=(UNDER_WAY, START)))
    found = check_design(vessel())
    for name in ("C1", "F1", "S1"):
        assert found.circuits[name].drop == usual.circuits[name].drop
        assert design_a(found, name) == design_a(usual, name)
    assert found.circuits["L-house"].drop is None


@pytest.mark.parametrize(
    ("starting_a", "expected"),
    [(1000.0, Severity.PASS), (60.0, Severity.STOP), (None, Severity.CANNOT_TELL)],
)
def test_the_switch_carries_the_start(starting_a: float | None, expected: Severity) -> None:
    found = check(vessel(links=(link(starting_a=starting_a),)), "link-start", "K")
    assert found.severity is expected
    if found.value is not None:
        current_a = check_design(vessel()).states["emergency"].link_a["K"]
        assert found.value == pytest.approx(current_a)
        assert found.state_id == "emergency"


@pytest.mark.parametrize(
    ("min_v", "expected"),
    [(9.0, Severity.PASS), (11.9, Severity.ATTENTION), (None, Severity.NOTE)],
)
def test_the_engine_gets_the_voltage_it_starts_from(
    min_v: float | None, expected: Severity
) -> None:
    net = vessel(start=cranking(loads=(starter(min_working_v=min_v),)))
    found = check(net, "emergency-start", "S1")
    assert found.severity is expected
    assert found.value == check_design(net).states["emergency"].starting_v["M"]


def test_a_thin_lead_is_too_thin_by_the_solved_current() -> None:
    thin = (lead("house", cable=Cable(size=mm2(10))), lead("start", cable=Cable(size=mm2(10))))
    found = check(vessel(*thin), "ampacity", "L-house")
    assert found.severity is Severity.ATTENTION
    assert found.message.endswith("only for the seconds of a start.")
    assert found.state_id == "emergency"
    assert severity(vessel(*thin), "rating", "L-house") is Severity.STOP
    assert severity(vessel(), "ampacity", "L-house") is Severity.PASS


def test_each_lead_has_a_device_and_the_other_may_carry_it() -> None:
    assert severity(vessel(), "protected", "L-start") is Severity.PASS
    assert severity(vessel(), "both-ends", "L-start") is Severity.PASS
    bare = vessel(lead("house", protection=None), lead("start"))
    assert severity(bare, "protected", "L-house") is Severity.STOP
    assert severity(bare, "always-live", "L-house") is Severity.STOP
    for size_mm2, expected in ((35, Severity.ATTENTION), (16, Severity.STOP)):
        uneven = vessel(lead("house"), lead("start", cable=Cable(size=mm2(size_mm2))))
        found = check(uneven, "both-ends", "L-start")
        assert found.severity is expected
        assert found.value == 200.0
        assert "Lead house" in found.message


def test_the_helping_battery_s_management_sees_the_start() -> None:
    small = battery(chemistry=Chemistry.LFP, management_limit_a=100.0)
    both = starter_battery(chemistry=Chemistry.LFP)
    found = check(vessel(sources=(small, both)), "management-limit", "house")
    assert found.severity is Severity.STOP
    assert found.value == pytest.approx(CRANK_A + 5.0)
    assert found.state_id == "emergency"


def test_the_helped_battery_is_asked_for_no_more_than_its_engine() -> None:
    limited = starter_battery(management_limit_a=CRANK_A + 1.0)
    net = vessel(sources=(battery(), limited))
    assert severity(net, "management-limit", "start") is Severity.PASS


def test_equalising_counts_both_conductors_of_the_leads_and_their_rating() -> None:
    """(12.8 − 0.96 · 12) V over 4 + 6 mΩ and 2 · 3 m of cold 95 mm²."""
    found = check(vessel(), "link-current", "K")
    copper_ohm = 2 * 3.0 * 0.017241 / 95.0
    assert found.value == pytest.approx(1.28 / (0.010 + copper_ohm), rel=0.01)
    thin = (lead("house", cable=Cable(size=mm2(10))), lead("start", cable=Cable(size=mm2(10))))
    judged = check(vessel(*thin, links=(link(rating_a=500.0),)), "link-current", "K")
    assert "its lead" in judged.message
    assert judged.limit is not None
    assert judged.limit < 100.0
    one = check(vessel(lead("house")), "link-current", "K")
    assert one.missing == ("resistance of its leads",)
    bare = check(vessel(lead("house", cable=None), lead("start")), "link-current", "K")
    assert bare.missing == ("resistance of its leads",)


def test_with_one_lead_nothing_flows() -> None:
    result = check_design(vessel(lead("house")))
    assert result.states["emergency"].solved
    assert result.states["emergency"].link_a == {}
    assert [f for f in result.checks if f.rule_id in {"link-start", "emergency-start"}] == []


def test_a_fault_is_fed_through_the_closed_link() -> None:
    alone = point_fault(vessel(links=(link(current_limited=True),)), "B1").current_a
    both = point_fault(vessel(), "B1").current_a
    assert alone is not None
    assert both is not None
    assert both > 1.2 * alone


def test_a_start_that_no_wiring_carries_is_said_so() -> None:
    load = starter(kind=LoadKind.CONSTANT_POWER, current_a_by_state={"start": 3000.0})
    found = check(vessel(start=cranking(loads=(load,))), "operating-point")
    assert found.severity is Severity.STOP
    net = vessel(start=cranking(loads=(load,)))
    assert checks(net, "link-start") == []
    assert check(net, "ampacity", "L-house").severity is Severity.ATTENTION


def test_a_switch_in_a_petrol_space_is_ignition_protected() -> None:
    place = Place(id="EW", label="Engine well", petrol_vapour=True)
    bare = vessel(links=(link(place=place, ignition_protected=False),))
    assert severity(bare, "ignition", "K") is Severity.STOP


@pytest.mark.parametrize(
    "circuit",
    [
        lead("house", role=CircuitRole.FEEDER),
        lead("house", to_id="B1"),
        lead("other"),
        branch(id="X", from_id="K"),
    ],
)
def test_only_leads_of_its_two_batteries_end_at_a_link(circuit: Circuit) -> None:
    other = battery(id="other", label="Other")
    with pytest.raises(BadInput):
        vessel(circuit, sources=(battery(), starter_battery(), other))


def parallel(*leads: Circuit) -> Design:
    names = dict.fromkeys(one.from_id for one in leads)
    batteries = tuple(battery(id=name, label=f"Battery {name}") for name in names)
    return design(*leads, branch(), sources=batteries, boards=(board(),))


@pytest.mark.parametrize("count", [2, 3])
def test_each_battery_in_parallel_has_its_own_device(count: int) -> None:
    own = [feeder(id=f"F{n}", label=f"F{n}", from_id=f"b{n}") for n in range(count)]
    found = checks(parallel(*own), "strings")
    assert [(f.severity, f.subject.id) for f in found] == [
        (Severity.PASS, f"b{n}") for n in range(count)
    ]
    bare = [*own[:-1], replace(own[-1], protection=None)]
    judged = checks(parallel(*bare), "strings")
    assert [f.severity for f in judged] == [*[Severity.PASS] * (count - 1), Severity.ATTENTION]
    assert f"one of {count} batteries in parallel on Board 1" in judged[-1].message
    assert judged[-1].remedies[0].label == f"Add a device in F{count - 1}"
    at_end = [*own[:-1], replace(own[-1], protection=None, protection_at_end=FUSE)]
    assert {f.severity for f in checks(parallel(*at_end), "strings")} == {Severity.PASS}


def test_a_battery_by_itself_is_no_string() -> None:
    assert checks(parallel(feeder(from_id="b0", protection=None)), "strings") == []
