"""Choosing every cable and device together."""

import random
from dataclasses import replace
from itertools import product
from typing import Any

import pytest

from electrical.core.asked import ASKED_RULES, WISHED_RULES
from electrical.core.check import check_design
from electrical.core.choices import DeviceChoice
from electrical.core.design import Circuit, Design, DropClass, Route
from electrical.core.findings import Severity
from electrical.core.found import Found
from electrical.core.parts import DeviceType
from electrical.core.propose import Proposal, with_proposal
from electrical.core.search import search_design
from electrical.core.sources import Converter
from tests.benchmarks.bench_search import vessel as vessel_of
from tests.unit.core.designs import battery, board, branch, design, feeder, lamp
from tests.unit.core.offers import BLADES, CABLES, STRIPS, devices

SOME_CABLES = tuple(c for c in CABLES if c.key in {"2.5", "4", "6", "10", "16", "25"})
SOME_DEVICES = (
    *(d for d in BLADES if d.protection.rating_a in {7.5, 15.0}),
    *(d for d in STRIPS if d.protection.rating_a == 40.0),
)


def leaf(name: str, *, length_m: float, current_a: float, **changes: Any) -> Circuit:
    return branch(
        id=name,
        label=name,
        cable=None,
        protection=None,
        drop_class=DropClass.CRITICAL,
        route=Route(length_m=length_m),
        loads=(lamp(id=f"L{name}", label=f"Lamp {name}", current_a=current_a),),
        **changes,
    )


def vessel() -> Design:
    return design(
        feeder(cable=None, protection=None, route=Route(length_m=4.0)),
        leaf("C1", length_m=6.0, current_a=5.0),
        leaf("C2", length_m=8.0, current_a=4.0),
    )


def searched(net: Design, cables: Any = SOME_CABLES, devices: Any = SOME_DEVICES) -> Found:
    return search_design(
        net,
        circuit_ids=[circuit.id for circuit in net.circuits],
        cables=lambda _circuit: cables,
        devices=lambda _circuit: devices,
    )


def holds(net: Design) -> bool:
    bad = {Severity.STOP, Severity.ATTENTION}
    return not any(
        check.rule_id in ASKED_RULES and check.severity in bad
        for result in check_design(net).circuits.values()
        for check in result.checks
    )


def test_no_cheaper_choice_holds_every_rule() -> None:
    """Every cheaper combination is tried, every rule asked on the solved network."""
    net = vessel()
    found = searched(net)
    assert found.is_exact
    assert holds(found.design)
    lengths_m = [circuit.route.length_m for circuit in net.circuits if circuit.route]
    pairs = list(product(SOME_CABLES, SOME_DEVICES))
    tried = 0
    for picks in product(pairs, repeat=len(net.circuits)):
        cost = sum(
            cable.cost_per_m * length_m + device.cost
            for (cable, device), length_m in zip(picks, lengths_m, strict=True)
        )
        sensible = picks[0][1].protection.rating_a == 40.0 and all(
            device.protection.rating_a < 40.0 for _cable, device in picks[1:]
        )
        if cost >= found.cost - 1e-9 or not sensible:
            continue  # a 40 A device on a branch needs a cable dearer than any branch here
        tried += 1
        circuits = tuple(
            with_proposal(circuit, Proposal(circuit_id=circuit.id, cable=cable, device=device))
            for circuit, (cable, device) in zip(net.circuits, picks, strict=True)
        )
        assert not holds(design(*circuits))
    assert tried > 20


def test_together_is_cheaper_where_branches_share_a_feeder() -> None:
    net = design(
        feeder(cable=None, protection=None, route=Route(length_m=4.0)),
        leaf("C1", length_m=6.0, current_a=6.0),
        leaf("C2", length_m=9.0, current_a=4.0),
        leaf("C3", length_m=7.0, current_a=5.0),
    )
    found = searched(net, CABLES, (*BLADES, *STRIPS))
    assert found.one_by_one_cost is not None
    assert found.saving is not None
    assert found.saving > 0
    assert found.cost == pytest.approx(found.one_by_one_cost - found.saving)


def test_it_says_what_the_next_cheaper_cable_would_break_anywhere() -> None:
    found = searched(vessel(), CABLES, (*BLADES, *STRIPS))
    first = next(p for p in found.proposals if p.circuit_id == "F1")
    assert {(f.rule_id, f.subject.id) for f in first.decided_by} >= {("drop", "C1")}


def test_what_can_not_be_proven_is_bounded_from_below() -> None:
    net = vessel_of(7.5, 2, 12)
    found = searched(net, CABLES, (*BLADES, *STRIPS))
    assert holds(found.design)
    assert found.least_cost is not None
    assert found.least_cost <= found.cost
    assert found.is_exact == (found.cost <= found.least_cost + 1e-6)
    assert found.one_by_one_cost is not None
    assert found.cost < found.one_by_one_cost
    if not found.is_exact:
        assert found.why_not_exact.startswith("A cheaper choice can not be ruled out")


def test_constant_power_at_the_limit_leaves_little_that_is_not_proven() -> None:
    """Drops a hair too large are shown to cost more to mend, or nearly as much."""
    found = searched(vessel_of(7.5, 2, 22), CABLES, (*BLADES, *STRIPS))
    assert holds(found.design)
    assert found.plans_tried > 1
    assert found.least_cost is not None
    assert 0.995 * found.cost < found.least_cost


def test_what_neighbours_carry_in_fact_makes_it_cheaper_than_any_plan() -> None:
    """Plans count every neighbour as loaded that may be; at the end they are known."""
    found = searched(vessel_of(7.5, 2, 22), CABLES, (*BLADES, *STRIPS))
    assert found.is_exact
    assert found.least_cost is not None
    assert found.cost < found.least_cost - 1.0
    assert holds(found.design)


@pytest.mark.parametrize(("seed", "is_exact"), [(9, True), (72, True), (42, False)])
def test_what_is_proven_is_the_cheapest_of_all_there_are(seed: int, is_exact: bool) -> None:
    """Two boards in a row, drops a hair from the limit: every combination is tried."""
    chance = random.Random(seed)
    lengths_m = [round(chance.uniform(3.0, 9.0), 2) for _ in range(3)]
    net = design(
        feeder(cable=None, protection=None, route=Route(length_m=5.0)),
        feeder(id="F2", label="F2", from_id="B1", to_id="B2", cable=None, protection=None),
        *(
            leaf(f"C{n}", length_m=length_m, current_a=4.0, from_id="B2" if n else "B1")
            for n, length_m in enumerate(lengths_m)
        ),
        boards=(board(), board(id="B2", label="Board 2")),
    )
    cables = [c for c in CABLES if c.key in {"4", "6", "10", "16"}]
    strip = next(d for d in STRIPS if d.protection.rating_a == 40.0)
    fuse = {"F": strip, "C": next(d for d in BLADES if d.protection.rating_a == 7.5)}
    found = search_design(
        net,
        circuit_ids=[c.id for c in net.circuits],
        cables=lambda _circuit: cables,
        devices=lambda circuit: [fuse[circuit.id[0]]],
    )
    costs = []
    for picks in product(cables, repeat=len(net.circuits)):
        circuits = tuple(
            with_proposal(c, Proposal(circuit_id=c.id, cable=cable, device=fuse[c.id[0]]))
            for c, cable in zip(net.circuits, picks, strict=True)
        )
        cost = sum(
            cable.cost_per_m * c.route.length_m + fuse[c.id[0]].cost
            for c, cable in zip(net.circuits, picks, strict=True)
            if c.route
        )
        if cost <= found.cost + 1e-9 and holds(replace(net, circuits=circuits)):
            costs.append(cost)
    assert found.plans_tried > 1
    assert found.is_exact is is_exact
    assert found.least_cost is not None
    assert found.least_cost - 1e-9 <= min(costs) <= found.cost + 1e-9
    if is_exact:
        assert found.cost == pytest.approx(min(costs))


WEAK = devices(DeviceType.BLADE, cost=1.5, breaking_a=1000.0)
STRONG = devices(DeviceType.BLADE, cost=9.0, breaking_a=6000.0)


@pytest.mark.parametrize(
    ("feeder_m", "offered", "given_up", "strong"),
    [(1.0, (*WEAK, *STRONG), 0, 2), (9.0, (*WEAK, *STRONG), 0, 0), (1.0, WEAK, 2, 0)],
)
def test_what_is_only_wished_for_is_given_up_last_whatever_that_costs(
    feeder_m: float, offered: tuple[DeviceChoice, ...], given_up: int, strong: int
) -> None:
    """Weak fuses behind one that breaks the short: attention, unless a long feeder weakens it."""
    net = design(
        feeder(cable=None, protection=None, route=Route(length_m=feeder_m)),
        leaf("C1", length_m=5.0, current_a=5.0),
        leaf("C2", length_m=2.0, current_a=3.0),
    )
    cables = [c for c in CABLES if c.key in {"1.5", "2.5", "4", "10", "16"}]
    fuses = {
        "F": [d for d in STRIPS if d.protection.rating_a == 40.0],
        "C": [d for d in offered if d.protection.rating_a == 10.0],
    }
    found = search_design(
        net,
        circuit_ids=[c.id for c in net.circuits],
        cables=lambda _circuit: cables,
        devices=lambda circuit: fuses[circuit.id[0]],
    )
    best = min(
        figure
        for picks in product(*(product(cables, fuses[c.id[0]]) for c in net.circuits))
        if (figure := figure_of(net, picks)) is not None
    )
    assert found.is_exact
    assert found.given_up == best[0] == given_up
    assert found.cost == pytest.approx(best[1])
    chosen = [p.device for p in found.proposals if p.device is not None]
    assert sum(device in STRONG for device in chosen) == strong


def figure_of(net: Design, picks: Any) -> tuple[int, float] | None:
    """Wishes given up and cost of one combination; None when it breaks a rule."""
    circuits = tuple(
        with_proposal(circuit, Proposal(circuit_id=circuit.id, cable=cable, device=device))
        for circuit, (cable, device) in zip(net.circuits, picks, strict=True)
    )
    bad = [
        check
        for result in check_design(replace(net, circuits=circuits)).circuits.values()
        for check in result.checks
        if check.rule_id in ASKED_RULES and check.severity in {Severity.STOP, Severity.ATTENTION}
    ]
    if any(f.severity is Severity.STOP or f.rule_id not in WISHED_RULES for f in bad):
        return None
    lengths_m = [circuit.route.length_m for circuit in net.circuits if circuit.route]
    pairs = zip(picks, lengths_m, strict=True)
    return len(bad), sum(cable.cost_per_m * m + device.cost for (cable, device), m in pairs)


def test_boards_behind_boards_share_their_feeders() -> None:
    net = design(
        feeder(cable=None, protection=None),
        feeder(id="F2", label="F2", from_id="B1", to_id="B2", cable=None, protection=None),
        leaf("C1", length_m=5.0, current_a=4.0),
        leaf("C2", length_m=5.0, current_a=4.0, from_id="B2"),
        boards=(board(), board(id="B2", label="Board 2")),
    )
    found = searched(net, CABLES, (*BLADES, *STRIPS))
    assert found.is_exact
    assert holds(found.design)


def test_a_converter_starts_afresh() -> None:
    converter = Converter(
        id="U1",
        label="Converter",
        output_v=24.0,
        efficiency=0.9,
        max_output_a=10.0,
        input_cutoff_v=9.0,
    )
    net = design(
        feeder(id="IN", label="In", to_id="U1", cable=None, protection=None),
        leaf("OUT", length_m=5.0, current_a=4.0, from_id="U1", nominal_v=24.0),
        converters=(converter,),
    )
    found = searched(net, CABLES, (*BLADES, *STRIPS))
    assert found.is_exact
    assert holds(found.design)


def test_circuits_that_are_not_named_stay_and_count() -> None:
    thin = feeder(route=Route(length_m=4.0))
    net = design(thin, leaf("C1", length_m=6.0, current_a=5.0))
    found = search_design(
        net, circuit_ids=["C1"], cables=lambda _c: CABLES, devices=lambda _c: BLADES
    )
    assert found.is_exact
    assert found.design.circuits[0] == thin
    assert holds(found.design)


def test_leads_in_which_current_can_divide_are_chosen_one_at_a_time() -> None:
    """Two batteries on one board: their leads stay, the branches are still the cheapest."""
    first = battery(internal_r_ohm=0.012)
    second = battery(id="second", label="Second", internal_r_ohm=0.012)
    leads = (
        feeder(cable=None, protection=None),
        feeder(id="F2", label="F2", from_id="second", cable=None, protection=None),
    )
    net = design(
        *leads,
        leaf("C1", length_m=6.0, current_a=5.0),
        leaf("C2", length_m=9.0, current_a=3.0),
        sources=(first, second),
    )
    found = searched(net, CABLES, (*BLADES, *STRIPS))
    assert not found.is_exact
    assert found.why_not_exact == (
        "The leads through which current can divide were chosen one at a time."
    )
    assert holds(found.design)
    assert {p.circuit_id for p in found.proposals if p.is_complete} == {"F1", "F2", "C1", "C2"}


def test_it_names_the_circuit_for_which_nothing_is_on_offer_and_searches_the_rest() -> None:
    hopeless = leaf("C1", length_m=6.0, current_a=60.0)
    net = design(feeder(), hopeless, leaf("C2", length_m=6.0, current_a=5.0))
    found = search_design(
        net, circuit_ids=["C1", "C2"], cables=lambda _c: CABLES[:6], devices=lambda _c: BLADES
    )
    assert not found.is_exact
    assert found.why_not_exact == "Nothing on offer holds every rule of C1."
    assert found.one_by_one_cost is None
    assert {p.circuit_id for p in found.proposals if p.is_complete} == {"C2"}


def test_a_fault_no_device_breaks_is_hopeless_too() -> None:
    """3200 A at the battery and nothing but blade fuses that break 3000 A."""
    near = leaf("C1", length_m=6.0, current_a=5.0, from_id="house")
    net = design(feeder(), near, leaf("C2", length_m=6.0, current_a=5.0))
    found = search_design(
        net, circuit_ids=["C1", "C2"], cables=lambda _c: CABLES, devices=lambda _c: BLADES
    )
    assert found.why_not_exact == "Nothing on offer holds every rule of C1."
    assert {p.circuit_id for p in found.proposals if p.is_complete} == {"C2"}


def test_a_circuit_without_data_is_left_out_and_named() -> None:
    net = design(feeder(cable=None, protection=None), leaf("C1", length_m=6.0, current_a=5.0))
    unknown = branch(id="C2", label="C2", cable=None, protection=None, route=None)
    found = searched(design(*net.circuits, unknown), CABLES, (*BLADES, *STRIPS))
    left_out = next(p for p in found.proposals if p.circuit_id == "C2")
    assert left_out.missing == ("length of the run",)
