"""Rules on boards, batteries, converters, links and petrol spaces."""

from dataclasses import replace
from typing import Any

import pytest

from electrical.core.check import check_design
from electrical.core.design import Circuit, CircuitRole, Design, ParallelLink, Route
from electrical.core.findings import Finding, Severity
from electrical.core.parts import Cable, Place, Protection, Switch
from electrical.core.sizes import mm2
from electrical.core.sources import Chemistry, Converter
from tests.unit.core.designs import battery, board, branch, design, feeder, lamp
from tests.unit.core.verdicts import check, checks, severity

ENGINE = Place(id="EW", label="Engine well", petrol_vapour=True)
LOCKER = Place(id="BL", label="Battery locker", ventilated=True)


def test_a_system_that_can_not_carry_its_loads_stops_and_names_the_run() -> None:
    run = branch(route=Route(length_m=60.0), loads=(lamp(current_a=40.0),))
    found = check(design(feeder(), run), "operating-point")
    assert found.severity is Severity.STOP
    assert "The voltage at Lamp on C1 collapses" in found.message
    assert severity(design(), "operating-point") is Severity.PASS


def test_a_board_without_a_feeder_can_not_be_told() -> None:
    found = check(design(branch()), "fed", "B1")
    assert found.missing == ("run that feeds it",)
    assert checks(design(), "fed") == []


def test_a_busbar_carries_what_is_on_together() -> None:
    small = design(boards=(board(busbar_a=4.0),))
    found = check(small, "busbar", "B1")
    assert found.severity is Severity.STOP
    assert found.message == "Board 1 carries 5.0 A on a busbar of 4 A."
    assert severity(design(), "busbar", "B1") is Severity.PASS
    assert check(design(boards=(board(busbar_a=None),)), "busbar").missing == ("busbar rating",)


def test_a_circuit_keeps_to_what_one_way_of_its_board_may_carry() -> None:
    def on(way_max_a: float | None) -> list[tuple[Severity, str]]:
        found = checks(design(boards=(board(way_max_a=way_max_a),)), "way")
        return [(f.severity, f.subject.id) for f in found]

    assert on(None) == []
    assert on(10.0) == [(Severity.PASS, "B1")]
    assert on(7.5) == [(Severity.ATTENTION, "C1")]  # its device is rated 10 A
    assert on(4.0) == [(Severity.STOP, "C1")]  # it carries 5 A


def test_a_busbar_is_protected_by_its_feeders() -> None:
    assert severity(design(), "busbar-protected", "B1") is Severity.PASS
    weak = design(boards=(board(busbar_a=100.0),))
    assert severity(weak, "busbar-protected", "B1") is Severity.ATTENTION


@pytest.mark.parametrize(
    ("fastened", "expected"),
    [(True, Severity.PASS), (False, Severity.STOP), (None, Severity.NOTE)],
)
def test_batteries_are_held_down(fastened: bool | None, expected: Severity) -> None:
    assert severity(design(sources=(battery(fastened=fastened),)), "battery-held") is expected


@pytest.mark.parametrize(
    ("place", "sealed", "chemistry", "expected"),
    [
        (LOCKER, True, Chemistry.AGM, Severity.PASS),
        (Place(id="X", label="X", ventilated=False), False, Chemistry.FLOODED, Severity.STOP),
        (Place(id="X", label="X", ventilated=False), True, Chemistry.AGM, Severity.ATTENTION),
        (None, True, Chemistry.AGM, Severity.CANNOT_TELL),
        (None, True, Chemistry.LFP, Severity.NOTE),
    ],
)
def test_battery_gas_gets_out(
    place: Place | None, sealed: bool, chemistry: Chemistry, expected: Severity
) -> None:
    bank = battery(place=place, sealed=sealed, chemistry=chemistry)
    assert severity(design(sources=(bank,)), "battery-gas") is expected


def test_a_battery_has_an_isolator_rated_for_it() -> None:
    none = design(sources=(battery(isolator=None),))
    assert severity(none, "isolator") is Severity.ATTENTION
    small = design(sources=(battery(isolator=Switch(label="Isolator", continuous_a=4.0)),))
    assert check(small, "isolator").message == (
        "Isolator carries 5.0 A; its continuous rating is 4 A."
    )
    assert severity(small, "isolator") is Severity.STOP
    assert severity(design(), "isolator") is Severity.PASS


def test_an_isolator_that_starts_an_engine_is_rated_for_that() -> None:
    crank = branch(
        id="S1",
        label="S1",
        from_id="house",
        role=CircuitRole.STARTING,
        loads=(lamp(id="M", current_a=300.0),),
    )

    def found(cranking_a: float | None) -> Finding:
        switch = Switch(label="Isolator", continuous_a=100.0, cranking_a=cranking_a)
        net = design(feeder(), branch(), crank, sources=(battery(isolator=switch),))
        return check(net, "isolator")

    assert found(400.0).severity is Severity.PASS
    assert found(250.0).message == "Isolator carries 300.0 A; its starting rating is 250 A."
    assert found(250.0).severity is Severity.STOP
    assert found(None).missing == ("starting rating of Isolator",)


@pytest.mark.parametrize(
    ("fused", "expected"),
    [(True, Severity.PASS), (False, Severity.ATTENTION), (None, Severity.CANNOT_TELL)],
)
def test_parallel_strings_have_a_device_each(fused: bool | None, expected: Severity) -> None:
    bank = battery(strings=2, strings_fused=fused)
    assert severity(design(sources=(bank,)), "strings") is expected
    assert checks(design(), "strings") == []


def test_load_stays_below_the_management_limit() -> None:
    bank = battery(chemistry=Chemistry.LFP, management_limit_a=4.0)
    found = check(design(sources=(bank,)), "management-limit")
    assert found.severity is Severity.STOP
    assert "that limit is no fault rating" in found.message


def test_a_start_above_the_management_limit_is_for_the_maker_to_allow() -> None:
    """5 A run below 20 A, 25 A at a start do not."""
    bank = battery(chemistry=Chemistry.LFP, management_limit_a=20.0)
    pump = lamp(continuous=False, is_motor=True, start_current_a=25.0)
    net = design(feeder(), branch(loads=(pump,)), sources=(bank,))
    running, starting = checks(net, "management-limit")
    assert running.severity is Severity.PASS
    assert starting.severity is Severity.ATTENTION
    assert starting.value == pytest.approx(25.0)
    assert starting.limit == 20.0
    assert "gives 25.0 A for 0.2 s while a motor starts" in starting.message
    strong = replace(bank, management_limit_a=25.0)
    assert severity(replace(net, sources=(strong,)), "management-limit") is Severity.PASS


def converter_design(**changes: Any) -> Design:
    values: dict[str, Any] = {
        "id": "U1",
        "label": "Step-up converter",
        "output_v": 24.0,
        "efficiency": 0.9,
        "max_output_a": 10.0,
        "input_cutoff_v": 10.5,
    }
    converter = Converter(**values | changes)
    into = feeder(id="IN", label="Converter input", to_id="U1", role=CircuitRole.LOAD)
    out = branch(id="OUT", label="Out", from_id="U1", nominal_v=24.0)
    return design(into, out, converters=(converter,))


def test_a_converter_draws_most_at_its_lowest_input() -> None:
    """5 A · 24 V / (0.9 · 10.5 V) = 12.70 A, by hand."""
    found = check(converter_design(), "ampacity", "IN")
    assert found.value == pytest.approx(12.698, abs=5e-4)


def test_a_converter_gives_no_more_than_it_can() -> None:
    assert severity(converter_design(), "converter-output") is Severity.PASS
    small = converter_design(max_output_a=4.0)
    assert check(small, "converter-output").message == (
        "Step-up converter is asked for 5.0 A of its 4 A."
    )
    assert check(converter_design(max_output_a=None), "converter-output").missing == (
        "largest output of the converter",
    )


def test_a_converter_of_unknown_efficiency_is_not_guessed() -> None:
    found = check(converter_design(efficiency=None), "complete", "IN")
    assert found.missing == ("efficiency of Step-up converter",)


def test_the_drop_to_a_converter_keeps_it_on() -> None:
    assert severity(converter_design(), "converter-input") is Severity.PASS
    high = converter_design(input_cutoff_v=11.99)
    assert severity(high, "converter-input") is Severity.STOP


def test_the_drop_behind_a_converter_counts_from_the_converter() -> None:
    found = check(converter_design(), "drop", "OUT")
    assert found.value is not None
    assert found.value < 100 * 0.6 / 24


def test_lithium_is_never_joined_straight_to_lead_acid() -> None:
    def verdict(chemistry: Chemistry | None, limited: bool | None) -> Severity:
        second = battery(id="start", label="Start battery", chemistry=Chemistry.FLOODED)
        link = ParallelLink(
            id="K", label="Link", first_id="house", second_id="start", current_limited=limited
        )
        net = design(sources=(battery(chemistry=chemistry), second), links=(link,))
        return severity(net, "link-chemistry")

    assert verdict(Chemistry.LFP, False) is Severity.STOP
    assert verdict(Chemistry.LFP, None) is Severity.CANNOT_TELL
    assert verdict(Chemistry.LFP, True) is Severity.PASS
    assert verdict(Chemistry.AGM, False) is Severity.PASS
    assert verdict(None, False) is Severity.CANNOT_TELL


def test_the_equalising_current_stays_within_the_link() -> None:
    """(12.8 − 0.96 · 12) V / (4 + 4 + 4) mΩ = 107 A, by hand."""
    second = battery(id="start", label="Start battery")
    for rating_a, expected in ((100.0, Severity.ATTENTION), (120.0, Severity.PASS)):
        link = ParallelLink(
            id="K",
            label="Link",
            first_id="house",
            second_id="start",
            rating_a=rating_a,
            loop_r_ohm=0.004,
        )
        found = check(design(sources=(battery(), second), links=(link,)), "link-current")
        assert found.severity is expected
        assert found.value == pytest.approx(106.67, abs=0.01)


def test_a_limiter_keeps_the_equalising_current_down() -> None:
    second = battery(id="start", label="Start battery")
    link = ParallelLink(
        id="K", label="Link", first_id="house", second_id="start", current_limited=True
    )
    net = design(sources=(battery(), second), links=(link,))
    assert severity(net, "link-current") is Severity.PASS


@pytest.mark.parametrize(
    ("marked", "expected"),
    [(True, Severity.PASS), (False, Severity.STOP), (None, Severity.CANNOT_TELL)],
)
def test_parts_in_petrol_spaces_are_ignition_protected(
    marked: bool | None, expected: Severity
) -> None:
    blower = lamp(id="BL", label="Blower", place=ENGINE, ignition_protected=marked)
    found = check(design(feeder(), branch(loads=(blower,))), "ignition", "BL")
    assert found.severity is expected


def test_every_kind_of_part_in_a_petrol_space_is_judged() -> None:
    fuse = Protection(rating_a=10.0, place=ENGINE, ignition_protected=False)
    switch = Switch(label="Switch", continuous_a=10.0, place=ENGINE, ignition_protected=False)
    net = design(
        feeder(),
        branch(protection=fuse, switch=switch),
        boards=(board(place=ENGINE, ignition_protected=False),),
        sources=(battery(isolator=switch),),
    )
    labels = {found.subject.label for found in checks(net, "ignition")}
    assert labels == {"protective device of C1", "Switch of C1", "Board 1", "Switch"}


def test_an_isolator_is_one_part_in_its_lead_and_at_its_battery() -> None:
    isolator = Switch(
        id="S5", label="S5 Isolator", continuous_a=300.0, place=ENGINE, ignition_protected=False
    )
    net = design(feeder(switch=isolator), sources=(battery(isolator=isolator),))
    subjects = [found.subject for found in checks(net, "ignition")]
    assert [(one.id, one.label) for one in subjects] == [("S5", "S5 Isolator")]


def test_a_part_that_can_not_spark_needs_no_marking() -> None:
    sensor = lamp(id="S", label="Sensor", place=ENGINE, has_sparks=False)
    assert checks(design(feeder(), branch(loads=(sensor,))), "ignition") == []


def test_runs_through_petrol_spaces_are_sheathed_and_protected() -> None:
    route = Route(length_m=6.0, places=(ENGINE,))
    sheathed = branch(route=route)
    assert severity(design(feeder(), sheathed), "run-near-fuel", "C1") is Severity.PASS
    bare = branch(route=route, cable=Cable(size=mm2(2.5), sheathed=False), protection=None)
    found = check(design(feeder(), bare), "run-near-fuel", "C1")
    assert found.severity is Severity.ATTENTION
    assert found.message == (
        "C1 passes Engine well, where petrol vapour may gather, and lacks a sheath and a device "
        "at its start."
    )
    assert checks(design(), "run-near-fuel") == []


def test_batteries_stay_away_from_petrol() -> None:
    found = check(design(sources=(battery(place=ENGINE),)), "near-fuel")
    assert found.severity is Severity.ATTENTION
    assert "no tank, filter or fuel fitting directly above or below it" in found.message
    assert [remedy.label for remedy in found.remedies] == ["Move the battery"]
    assert severity(design(sources=(battery(place=LOCKER),)), "near-fuel") is Severity.PASS


def test_two_unequal_battery_leads_share_by_the_solved_network() -> None:
    """Leads of 1.5 m and 3 m from two equal batteries, solved, not by rule of thumb."""
    other = feeder(id="F2", label="F2", from_id="second", route=Route(length_m=3.0))
    net = design(
        feeder(), other, branch(), sources=(battery(), battery(id="second", label="Second"))
    )
    short = check(net, "ampacity", "F1").value
    long = check(net, "ampacity", "F2").value
    assert short is not None
    assert long is not None
    assert short > long
    assert short + long == pytest.approx(5.25, abs=0.02)


def test_unequal_leads_work_one_battery_harder() -> None:
    """Internal 4 mΩ each: a lead of 1.5 m against one of 12 m is far from equal."""

    def shared(length_m: float) -> Design:
        other = feeder(id="F2", label="F2", from_id="second", route=Route(length_m=length_m))
        run = branch(cable=Cable(size=mm2(10)), loads=(lamp(current_a=20.0),))
        second = battery(id="second", label="Second")
        return design(feeder(), other, run, sources=(battery(), second))

    assert severity(shared(1.5), "battery-sharing", "B1") is Severity.PASS
    uneven = check(shared(12.0), "battery-sharing", "B1")
    assert uneven.severity is Severity.ATTENTION
    assert uneven.remedies[0].label == "Make the battery leads of equal resistance"
    assert checks(design(), "battery-sharing") == []


def test_what_hangs_on_one_battery_alone_counts_to_what_it_gives() -> None:
    """Equal leads r, 4 mΩ inside each: of 20 A at the second battery's own posts the first gives
    4 / (8 + 2 r) through both leads; its lead carries that, the second's carries it backwards."""
    own = branch(id="C9", label="C9", from_id="second", loads=(lamp(id="L9", current_a=20.0),))
    idle = branch(loads=(lamp(current_a=0.0),))
    other = feeder(id="F2", label="F2", from_id="second")
    second = battery(id="second", label="Second")
    net = design(feeder(), other, idle, own, sources=(battery(), second))
    result = check_design(net)
    lead, drawn_a = result.circuits["F1"], result.states["everything"].circuit_a["C9"]
    assert lead.resistance is not None
    first_a = drawn_a * 0.004 / (0.008 + 2 * lead.resistance.loop_r_ohm)
    found = check(net, "battery-sharing", "B1")
    assert found.value == pytest.approx(200.0 * (drawn_a - first_a) / drawn_a, rel=1e-6)
    assert [r.label for r in found.remedies] == [
        "Feed from Board 1 what hangs on one of the batteries alone"
    ]


def test_a_ring_is_solved_and_not_guessed() -> None:
    second = board(id="B2", label="Board 2")
    ring = (
        feeder(id="A", label="A", to_id="B1"),
        feeder(id="B", label="B", from_id="B1", to_id="B2"),
        feeder(id="C", label="C", from_id="B2", to_id="B1"),
    )
    net = design(*ring, branch(from_id="B2"), boards=(board(), second))
    for name in "ABC":
        assert severity(net, "ampacity", name) is Severity.PASS
        assert checks(net, "complete", name) == []


def test_lengths_of_nothing_are_no_trouble() -> None:
    net = design(feeder(route=Route(length_m=0.0)), branch(route=Route(length_m=0.0)))
    assert severity(net, "drop", "C1") is Severity.PASS


def test_a_big_design_without_anything_known_gives_verdicts() -> None:
    bare = Circuit(id="X", label="X", from_id="house", nominal_v=12.0, cable=Cable(size=mm2(6)))
    assert severity(design(bare), "complete", "X") is Severity.CANNOT_TELL
