"""Rules on conductors: ampacity, drop, working voltage, least size, insulation."""

from typing import Any

import pytest

from electrical.core.design import CircuitRole, DropClass, OperatingState, Route
from electrical.core.findings import RuleSet, Severity
from electrical.core.parts import Cable, LoadKind, Place
from electrical.core.sizes import awg, mm2
from electrical.core.status import SourceStatus
from tests.unit.core.designs import branch, design, feeder, lamp
from tests.unit.core.verdicts import check, checks, severity


def test_a_run_without_cable_length_or_load_can_not_be_told() -> None:
    bare = branch(cable=None, route=None, loads=())
    found = check(design(feeder(), bare), "complete", "C1")
    assert found.severity is Severity.CANNOT_TELL
    assert found.missing == ("cable", "length of the run", "device it feeds")
    assert found.message == (
        "C1: cannot tell without the cable and the length of the run and the device it feeds."
    )
    assert checks(design(feeder(), bare), "ampacity", "C1") == []


def test_an_unknown_load_is_named() -> None:
    run = branch(loads=(lamp(current_a=None),))
    found = check(design(feeder(), run), "complete", "C1")
    assert found.missing == ("current of Lamp",)
    feeder_found = check(design(feeder(), run), "complete", "F1")
    assert feeder_found.missing == ("current of Lamp",)


def test_a_size_no_table_holds_can_not_be_told() -> None:
    found = check(design(feeder(), branch(cable=Cable(size=mm2(3)))), "complete", "C1")
    assert "no entry for 3 mm²" in found.message


def test_behind_a_run_without_a_resistance_the_drop_can_not_be_told() -> None:
    """Table 5 carries 3 mm² as the next smaller gauge; no table gives its resistance."""
    untold = feeder(cable=Cable(size=mm2(3)), route=Route(length_m=20.0))
    net = design(untold, branch(), rule_set=RuleSet.US)
    assert check(net, "ampacity", "F1").severity is Severity.PASS
    assert check(net, "complete", "F1").missing == ("cable the tables know",)
    assert check(net, "complete", "C1").missing == ("cable the tables know for Feeder",)
    assert checks(net, "drop") == []


def test_behind_a_run_that_no_table_holds_the_drop_can_not_be_told() -> None:
    net = design(feeder(cable=Cable(size=mm2(3)), route=Route(length_m=20.0)), branch())
    assert check(net, "complete", "C1").missing == ("cable the tables know for Feeder",)
    assert checks(net, "drop") == []


def test_more_load_than_ampacity_stops_and_offers_the_next_cable() -> None:
    run = branch(loads=(lamp(current_a=30.0),))
    found = check(design(feeder(), run), "ampacity", "C1")
    assert found.severity is Severity.STOP
    assert (found.value, found.limit, found.unit) == (30.0, 25.0, "A")
    assert found.message == ("C1 carries 30.0 A, more than the 25.0 A its 14 AWG may carry here.")
    assert found.remedies[0].label == "Use 4 mm²"
    assert found.remedies[0].change == {"circuit": "C1", "size_mm2": 4.0}


def test_engine_starting_is_excepted_from_ampacity() -> None:
    crank = branch(
        id="S1",
        from_id="house",
        role=CircuitRole.STARTING,
        cable=Cable(size=mm2(50)),
        loads=(lamp(current_a=350.0),),
    )
    found = check(design(crank), "ampacity", "S1")
    assert found.severity is Severity.ATTENTION
    assert "excepts cranking conductors" in found.message


def test_drop_counts_from_the_source_through_the_feeder() -> None:
    result = check(design(), "drop", "C1")
    assert result.severity is Severity.PASS
    long_feeder = feeder(route=Route(length_m=30.0), cable=Cable(size=mm2(6)))
    farther = check(design(long_feeder, branch()), "drop", "C1")
    assert farther.value is not None
    assert result.value is not None
    assert farther.value > result.value + 2.0


def test_too_much_drop_stops_and_offers_the_smallest_cable_that_does() -> None:
    run = branch(drop_class=DropClass.CRITICAL)
    found = check(design(feeder(), run), "drop", "C1")
    assert found.severity is Severity.STOP
    assert found.limit == 3.0
    assert found.message == (
        "C1 loses 0.55 V (4.6 %) from source to device, above the limit for critical circuits "
        "of 3 %."
    )
    assert [remedy.label for remedy in found.remedies] == ["Use 4 mm²"]
    fixed = branch(drop_class=DropClass.CRITICAL, cable=Cable(size=mm2(4)))
    assert severity(design(feeder(), fixed), "drop", "C1") is Severity.PASS


def test_the_workshops_own_limit_counts() -> None:
    found = check(design(feeder(), branch(drop_limit_pct=4.0)), "drop", "C1")
    assert found.severity is Severity.STOP
    assert "above the workshop's own limit of 4 %" in found.message


def test_the_worst_operating_state_decides() -> None:
    states = (OperatingState(id="day", label="day"), OperatingState(id="night", label="night"))
    load = lamp(current_a=8.0, current_a_by_state={"day": 1.0, "night": 8.0})
    found = check(design(feeder(), branch(loads=(load,)), states=states), "drop", "C1")
    assert found.state_id == "night"


def test_engine_starting_does_not_hold_other_circuits_to_their_drop() -> None:
    states = (
        OperatingState(id="run", label="run"),
        OperatingState(id="start", label="start", starting=True),
    )
    load = lamp(current_a=50.0, current_a_by_state={"run": 1.0, "start": 50.0})
    found = check(design(feeder(), branch(loads=(load,)), states=states), "drop", "C1")
    assert found.state_id == "run"


def test_an_unfinished_feeder_keeps_a_drop_from_passing() -> None:
    found = check(design(feeder(cable=None), branch()), "drop", "C1")
    assert found.severity is Severity.CANNOT_TELL
    assert found.missing == ("cable and length of Feeder",)


def test_loads_along_the_run_lose_less_than_at_its_end() -> None:
    two = tuple(lamp(id=f"L{n}", current_a=2.5) for n in (1, 2))
    spread = (lamp(id="L1", current_a=2.5, position_m=3.0), two[1])
    at_end = check(design(feeder(), branch(loads=two)), "drop", "C1").value
    along = check(design(feeder(), branch(loads=spread)), "drop", "C1").value
    assert at_end is not None
    assert along is not None
    assert along == pytest.approx(at_end * 0.75, rel=0.03)


def test_a_resistive_load_draws_less_as_its_voltage_falls() -> None:
    steady = check(design(feeder(), branch()), "drop", "C1").value
    falling = branch(loads=(lamp(kind=LoadKind.RESISTIVE),))
    assert steady is not None
    found = check(design(feeder(), falling), "drop", "C1").value
    assert found is not None
    assert found < steady


def test_a_device_below_its_working_voltage_stops() -> None:
    run = branch(loads=(lamp(min_working_v=11.5),))
    found = check(design(feeder(), run), "working-voltage", "C1")
    assert found.severity is Severity.STOP
    assert found.message == "Lamp gets 11.45 V and works from 11.5 V."
    enough = branch(loads=(lamp(min_working_v=11.0),))
    assert severity(design(feeder(), enough), "working-voltage", "C1") is Severity.PASS


@pytest.mark.parametrize(
    ("rule_set", "cable", "expected"),
    [
        (RuleSet.ISO, Cable(size=mm2(0.75), sheathed=True), Severity.PASS),
        (RuleSet.ISO, Cable(size=mm2(0.75), sheathed=False), Severity.STOP),
        (RuleSet.ISO, Cable(size=mm2(1), sheathed=False), Severity.PASS),
        (RuleSet.US, Cable(size=awg("18"), sheathed=True), Severity.PASS),
        (RuleSet.US, Cable(size=awg("18"), sheathed=False), Severity.STOP),
        (RuleSet.US, Cable(size=awg("16"), sheathed=False), Severity.PASS),
    ],
)
def test_the_least_size_depends_on_the_sheath(
    rule_set: RuleSet, cable: Cable, expected: Severity
) -> None:
    run = branch(cable=cable, loads=(lamp(current_a=0.5),))
    assert severity(design(feeder(), run, rule_set=rule_set), "least-size", "C1") is expected


def test_iso_asks_for_70_degree_insulation_in_engine_spaces() -> None:
    engine = Place(id="EW", label="Engine well", engine_space=True)
    for insulation_c, expected in ((60, Severity.STOP), (70, Severity.PASS)):
        run = branch(
            cable=Cable(size=mm2(2.5), insulation_c=insulation_c),
            route=Route(length_m=6.0, places=(engine,)),
        )
        found = check(design(feeder(), run), "engine-insulation", "C1")
        assert found.severity is expected
        assert found.clause.status is SourceStatus.MEMORY


def test_an_engine_space_lowers_ampacity_and_raises_the_drop() -> None:
    engine = Place(id="EW", label="Engine well", engine_space=True)
    hot = branch(route=Route(length_m=6.0, places=(engine,)))
    cool_found, hot_found = (check(design(feeder(), run), "ampacity") for run in (branch(), hot))
    assert hot_found.severity is Severity.PASS
    hot_limit = check(design(feeder(), hot), "ampacity", "C1").limit
    cool_limit = check(design(feeder(), branch()), "ampacity", "C1").limit
    assert hot_limit is not None
    assert cool_limit is not None
    assert hot_limit < cool_limit
    assert cool_found.severity is Severity.PASS
    hot_drop = check(design(feeder(), hot), "drop", "C1").value
    cool_drop = check(design(feeder(), branch()), "drop", "C1").value
    assert hot_drop is not None
    assert cool_drop is not None
    assert hot_drop > cool_drop


def test_loaded_neighbours_in_a_cableway_lower_ampacity() -> None:
    def run(name: str, amperes: float) -> Any:
        return branch(
            id=name,
            label=name,
            route=Route(length_m=6.0, segment_ids=("W1", "W2")),
            loads=(lamp(id=f"L{name}", current_a=amperes),),
        )

    heavy = design(feeder(), run("C1", 8.0), run("C2", 8.0))
    light = design(feeder(), run("C1", 8.0), run("C2", 1.0))
    assert check(heavy, "ampacity", "C1").limit == pytest.approx(25.0 * 0.6)
    assert check(light, "ampacity", "C1").limit == pytest.approx(25.0)
