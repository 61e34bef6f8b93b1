"""What nobody told never passes, and a circle of feeders is not followed round."""

from dataclasses import replace
from itertools import permutations

import pytest

from electrical.core.check import check_design
from electrical.core.design import Circuit, CircuitRole, Design, OperatingState
from electrical.core.findings import Severity
from electrical.core.parts import Load, LoadKind, Switch
from electrical.core.sources import Board, Converter
from electrical.core.tree import Tree
from tests.unit.core.designs import battery, board, branch, design, feeder, lamp
from tests.unit.core.verdicts import checks, severity

UNKNOWN = lamp(id="D2", label="Horn", current_a=None)
LEAD_IN = branch(id="I", label="I", to_id="X", loads=())
CONVERTER = Converter(id="X", label="24 to 12", output_v=12.0, efficiency=0.9, max_output_a=20.0)


def with_unknown(*more: Circuit, **changes: object) -> Design:
    """A lamp that is known beside a horn that is not."""
    return design(feeder(), branch(loads=(lamp(), UNKNOWN)), *more, **changes)


@pytest.mark.parametrize(
    ("net", "rule_id", "subject_id"),
    [
        (with_unknown(), "busbar", "B1"),
        (with_unknown(), "isolator", "house"),
        (with_unknown(sources=(battery(management_limit_a=100.0),)), "management-limit", "house"),
        (
            design(
                feeder(),
                LEAD_IN,
                branch(id="O", from_id="X", loads=(UNKNOWN,)),
                converters=(CONVERTER,),
            ),
            "converter-output",
            "X",
        ),
        (design(sources=(battery(place=None),)), "near-fuel", "house"),
    ],
)
def test_a_current_or_place_that_is_not_known_does_not_pass(
    net: Design, rule_id: str, subject_id: str
) -> None:
    assert severity(net, rule_id, subject_id) is Severity.CANNOT_TELL


def test_too_much_is_too_much_whatever_the_unknown_ones_add() -> None:
    small = Switch(label="Isolator", continuous_a=4.0)
    net = with_unknown(sources=(battery(isolator=small),))
    assert severity(net, "isolator", "house") is Severity.STOP


def test_a_neighbour_of_unknown_current_leaves_the_drop_open() -> None:
    """Both hang on one feeder, whose drop is part of theirs."""
    horn = branch(id="C2", label="C2", loads=(UNKNOWN,))
    found = checks(design(feeder(), branch(), horn), "drop", "C1")
    assert [(f.severity, f.missing) for f in found] == [
        (Severity.CANNOT_TELL, ("current of Horn",))
    ]
    assert severity(design(feeder(), branch()), "drop", "C1") is Severity.PASS


def test_enough_voltage_is_not_told_while_a_neighbour_is_unknown() -> None:
    picky = branch(loads=(lamp(min_working_v=10.5),))
    horn = branch(id="C2", label="C2", loads=(UNKNOWN,))
    assert severity(design(feeder(), picky), "working-voltage", "C1") is Severity.PASS
    together = design(feeder(), picky, horn)
    assert severity(together, "working-voltage", "C1") is Severity.CANNOT_TELL


def test_a_fuse_of_unknown_voltage_rating_does_not_pass() -> None:
    fuse = branch().protection
    assert fuse is not None
    net = design(feeder(), branch(protection=replace(fuse, rated_v=None)))
    assert severity(net, "device-voltage", "C1") is Severity.CANNOT_TELL


def test_withstand_and_clearing_ask_for_the_fault_current() -> None:
    unknown = battery(internal_r_ohm=None, capacity_ah=None, chemistry=None)
    net = design(sources=(unknown,))
    for rule_id in ("withstand", "clears"):
        assert severity(net, rule_id, "C1") is Severity.CANNOT_TELL


def test_a_start_beside_an_unknown_load_does_not_pass() -> None:
    pump = Load(
        id="P", label="Pump", current_a=4.0, start_current_a=6.0, start_s=1.0, is_motor=True
    )
    switch = Switch(label="Switch", continuous_a=20.0, intermittent_a=30.0)
    known = design(feeder(), branch(loads=(pump,), switch=switch))
    assert severity(known, "motor-start", "C1") is Severity.PASS
    assert [f.severity for f in checks(known, "switch", "C1")] == [Severity.PASS] * 2
    unknown = design(feeder(), branch(loads=(pump, UNKNOWN), switch=switch))
    assert checks(unknown, "motor-start", "C1") == []
    assert checks(unknown, "switch", "C1") == []
    assert severity(unknown, "complete", "C1") is Severity.CANNOT_TELL
    weak = replace(switch, intermittent_a=5.0)
    late = design(feeder(), branch(loads=(pump, UNKNOWN), switch=weak))
    assert [f.severity for f in checks(late, "switch", "C1")] == [Severity.ATTENTION]


def test_a_bank_of_unknown_size_may_ask_for_twenty_kiloamperes() -> None:
    """Main device of 12 kA on a short circuit of 11 kA: enough unless the bank is large."""

    def main(capacity_ah: float | None) -> Severity:
        lead = feeder()
        assert lead.protection is not None
        device = replace(lead.protection, breaking_capacity_a=12_000.0)
        strong = battery(short_circuit_a=11_000.0, capacity_ah=capacity_ah)
        net = design(replace(lead, protection=device), branch(), sources=(strong,))
        return severity(net, "breaking", "F1")

    assert main(100.0) is Severity.PASS
    assert main(2000.0) is Severity.STOP
    assert main(None) is Severity.CANNOT_TELL


def circle(**changes: float) -> tuple[Circuit, ...]:
    """Two boards that feed each other, and a lamp."""
    there = branch(id="T", label="T", from_id="B1", to_id="B2", loads=(), **changes)
    back = branch(id="K", label="K", from_id="B2", to_id="B1", loads=())
    return feeder(), there, back, branch(id="L", label="L", from_id="B2")


TWO_BOARDS = (board(), Board(id="B2", label="Board 2", nominal_v=12.0, busbar_a=50.0))


@pytest.mark.parametrize("largest_a", [None, 3.0])
def test_what_a_circle_carries_does_not_hang_on_the_order_of_asking(
    largest_a: float | None,
) -> None:
    changes = {} if largest_a is None else {"max_current_a": largest_a}
    net = design(*circle(**changes), boards=TWO_BOARDS)
    state = net.states[0]
    found = set()
    for order in permutations(net.circuits):
        tree = Tree(design=net)
        asked = {circuit.id: tree.demand(circuit, state) for circuit in order}
        found.add(tuple(sorted(asked.items())))
    assert len(found) == 1
    told = dict(next(iter(found)))
    assert told["K"].unknown == ("how current divides in the ring through K",)
    assert told["T"].current_a == (largest_a or 0.0)
    assert bool(told["T"].unknown) is (largest_a is None)
    assert told["L"].current_a == pytest.approx(5.0)


def test_a_ring_of_feeders_from_one_board_is_no_circle() -> None:
    """B1 feeds B2 and B3, which are joined: everything is told."""
    third = Board(id="B3", label="Board 3", nominal_v=12.0, busbar_a=50.0)
    runs = [
        branch(id=name, label=name, from_id=start, to_id=end, loads=(), role=CircuitRole.FEEDER)
        for name, start, end in (("R1", "B1", "B2"), ("R2", "B1", "B3"), ("R3", "B2", "B3"))
    ]
    lamps = [branch(id=f"L{n}", label=f"L{n}", from_id=f"B{n}") for n in (2, 3)]
    net = design(feeder(), *runs, *lamps, boards=(*TWO_BOARDS, third))
    tree = Tree(design=net)
    demands = [tree.demand(circuit, net.states[0]) for circuit in net.circuits]
    assert not any(demand.unknown for demand in demands)
    assert demands[0].current_a == pytest.approx(10.0)
    between = check_design(net).circuits["R3"].currents
    assert between is not None
    assert between.design_a > 0.0


def test_a_run_that_ends_at_a_battery_asks_for_its_current() -> None:
    other = battery(id="start", label="Start battery")
    run = feeder(id="J", label="Joint", to_id="start")
    net = design(feeder(), run, branch(), sources=(battery(), other))
    assert Tree(design=net).demand(run, net.states[0]).unknown == ("largest current of Joint",)
    told = replace(run, max_current_a=40.0)
    net = design(feeder(), told, branch(), sources=(battery(), other))
    assert Tree(design=net).demand(told, net.states[0]).current_a == pytest.approx(40.0)


def test_a_drop_is_not_told_while_a_state_has_no_operating_point() -> None:
    """By day all is well; at night a heater of constant power pulls the voltage down."""
    states = (OperatingState(id="day", label="day"), OperatingState(id="night", label="night"))
    heater = lamp(id="H", label="Heater", current_a_by_state={"night": 900.0})
    run = branch(id="C2", label="C2", loads=(replace(heater, kind=LoadKind.CONSTANT_POWER),))
    net = design(feeder(), branch(loads=(lamp(min_working_v=10.5),)), run, states=states)
    assert not check_design(net).states["night"].solved
    assert check_design(net).states["day"].solved
    for rule_id in ("drop", "working-voltage"):
        found = checks(net, rule_id, "C1")
        assert [f.missing for f in found] == [("operating point of the state night",)]
    by_day = replace(net, states=states[:1])
    assert severity(by_day, "drop", "C1") is Severity.PASS


def test_a_short_is_not_judged_through_a_feeder_that_is_not_laid_out() -> None:
    """A joint instead of 40 m of thin cable ahead would flatter the far end."""
    bare = feeder(cable=None)
    for rule_id in ("withstand", "clears"):
        assert severity(design(), rule_id, "C1") is Severity.PASS
        found = checks(design(bare, branch()), rule_id, "C1")
        assert [f.missing for f in found] == [("cable and length of Feeder",)]


def test_without_a_way_a_conductor_is_not_told_to_carry_its_load() -> None:
    """It may pass the engine space, or lie among others."""
    placed, unplaced = design(feeder(), branch()), design(feeder(), branch(route=None))
    for rule_id in ("ampacity", "rating"):
        assert severity(placed, rule_id, "C1") is Severity.PASS
        assert checks(unplaced, rule_id, "C1") == []
    assert severity(unplaced, "complete", "C1") is Severity.CANNOT_TELL
    fuse = branch().protection
    assert fuse is not None
    large = branch(route=None, protection=replace(fuse, rating_a=200.0))
    assert severity(design(feeder(), large), "rating", "C1") is Severity.STOP


def test_what_protects_a_run_from_ahead_hangs_on_its_way() -> None:
    thick = branch(cable=feeder().cable, protection=None)
    fuse = feeder().protection
    assert fuse is not None
    lead = feeder(protection=replace(fuse, rating_a=60.0))
    assert severity(design(lead, thick), "protected", "C1") is Severity.PASS
    unplaced = replace(thick, route=None)
    assert severity(design(lead, unplaced), "protected", "C1") is Severity.CANNOT_TELL


def test_the_whole_carries_its_loads_only_if_all_of_it_is_known() -> None:
    assert severity(design(), "operating-point") is Severity.PASS
    horns = [branch(id=f"H{n}", label=f"H{n}", route=None) for n in range(6)]
    found = checks(design(feeder(), branch(), *horns), "operating-point")
    assert [f.severity for f in found] == [Severity.CANNOT_TELL]
    assert found[0].missing[0] == "cable and length of H0"
    assert found[0].missing[-1] == "2 more"
