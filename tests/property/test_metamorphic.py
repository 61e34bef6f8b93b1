"""What must not change a verdict: order, identifiers, what is not connected, how a run is told."""

import re
from collections.abc import Callable, Iterable
from dataclasses import replace
from math import isclose
from random import Random
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from electrical.core.check import check_design
from electrical.core.design import Circuit, Design, Route
from electrical.core.findings import Finding, RuleSet, SubjectKind
from electrical.core.parts import Cable
from electrical.core.results import CircuitResult, DesignResult
from electrical.core.sizes import mm2
from electrical.core.sources import Board
from tests.property.random_designs import STATES, cables, designs, loads, protections, routes
from tests.unit.core.designs import branch, design, feeder

Kind = tuple[str, str, str, bool]
Said = tuple[str, float | None, float | None, tuple[str, ...]]

some_vessels = settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)

many_runs = settings(some_vessels, max_examples=50)


def same(one: float | None, other: float | None) -> bool:
    """Alike but for the rounding of sums in another order and of a solve."""
    if one is None or other is None:
        return one is other
    return isclose(one, other, rel_tol=1e-6, abs_tol=1e-7)


def said(finding: Finding) -> Said:
    """Verdict, figures, and the words of what is missing in any order."""
    return (
        finding.severity.value,
        finding.value,
        finding.limit,
        tuple(sorted(re.findall(r"\w+", " ".join(finding.missing)))),
    )


def by_kind(checks: Iterable[Finding]) -> dict[Kind, list[Said]]:
    found: dict[Kind, list[Said]] = {}
    for check in checks:
        kind = (check.rule_id, check.subject.kind.value, check.subject.id, check.at_far_end)
        found.setdefault(kind, []).append(said(check))
    return {kind: sorted(every, key=str) for kind, every in found.items()}


def agree(one: Said, other: Said) -> bool:
    """A verdict may turn only where value and limit are one but for rounding."""
    (verdict, value, limit, missing), (verdict2, value2, limit2, missing2) = one, other
    if not same(value, value2) or not same(limit, limit2) or missing != missing2:
        return False
    return verdict == verdict2 or (value is not None and same(value, limit))


def figures(result: CircuitResult) -> list[float | None]:
    drop, fault, currents = result.drop, result.fault, result.currents
    assert currents is not None
    return [
        currents.design_a,
        currents.continuous_a,
        currents.start_a,
        *(amperes for _state, amperes in sorted(currents.by_state_a.items())),
        result.ampacity.deciding.corrected_a if result.ampacity else None,
        *((drop.total_v, drop.own_v, drop.current_a) if drop else ()),
        *((fault.at_start_a, fault.at_end_a) if fault else ()),
    ]


def assert_alike(one: DesignResult, other: DesignResult) -> None:
    assert one.circuits.keys() == other.circuits.keys()
    assert {i: s.solved for i, s in one.states.items()} == {
        i: s.solved for i, s in other.states.items()
    }
    for circuit_id, result in one.circuits.items():
        pair = figures(result), figures(other.circuits[circuit_id])
        assert len(pair[0]) == len(pair[1]), circuit_id
        assert all(map(same, *pair)), (circuit_id, pair)
    first, second = by_kind(one.checks), by_kind(other.checks)
    assert first.keys() == second.keys(), first.keys() ^ second.keys()
    for kind, sayings in first.items():
        assert len(sayings) == len(second[kind]), kind
        assert all(map(agree, sayings, second[kind])), (kind, sayings, second[kind])


def shuffled(design: Design, rng: Random) -> Design:
    def mixed(parts: tuple[Any, ...]) -> tuple[Any, ...]:
        return tuple(rng.sample(parts, len(parts)))

    circuits = tuple(replace(c, loads=mixed(c.loads)) for c in mixed(design.circuits))
    return replace(
        design,
        sources=mixed(design.sources),
        boards=mixed(design.boards),
        converters=mixed(design.converters),
        circuits=circuits,
    )


@some_vessels
@given(net=designs(), rng=st.randoms(use_true_random=False))
def test_the_order_of_the_parts_does_not_matter(net: Design, rng: Random) -> None:
    assert_alike(check_design(net), check_design(shuffled(net, rng)))


def renamed(design: Design, name: Callable[[str], str]) -> Design:
    """The same with other identifiers; what people call its parts stays."""

    def ends(circuit: Circuit) -> dict[str, Any]:
        loads = tuple(replace(load, id=name(load.id)) for load in circuit.loads)
        to_id = None if circuit.to_id is None else name(circuit.to_id)
        return {
            "id": name(circuit.id),
            "from_id": name(circuit.from_id),
            "to_id": to_id,
            "loads": loads,
            "route": circuit.route
            and replace(circuit.route, segment_ids=tuple(map(name, circuit.route.segment_ids))),
        }

    earthing = design.earthing and replace(
        design.earthing,
        bonding=tuple(
            replace(bond, id=name(bond.id), circuit_id=bond.circuit_id and name(bond.circuit_id))
            for bond in design.earthing.bonding
        ),
    )
    return replace(
        design,
        sources=tuple(replace(source, id=name(source.id)) for source in design.sources),
        boards=tuple(replace(board, id=name(board.id)) for board in design.boards),
        converters=tuple(replace(one, id=name(one.id)) for one in design.converters),
        circuits=tuple(replace(circuit, **ends(circuit)) for circuit in design.circuits),
        links=tuple(
            replace(
                link,
                id=name(link.id),
                first_id=name(link.first_id),
                second_id=name(link.second_id),
            )
            for link in design.links
        ),
        segment_labels={name(i): label for i, label in design.segment_labels.items()},
        earthing=earthing,
    )


def with_ids(result: DesignResult, name: Callable[[str], str]) -> DesignResult:
    def of(check: Finding) -> Finding:
        if check.subject.kind is SubjectKind.DESIGN:
            return check
        owner, colon, part = check.subject.id.partition(":")
        return check._replace(subject=check.subject._replace(id=f"{name(owner)}{colon}{part}"))

    return replace(
        result,
        circuits={name(i): one for i, one in result.circuits.items()},
        checks=tuple(map(of, result.checks)),
    )


@some_vessels
@given(net=designs(), salt=st.text("abcdef", max_size=3))
def test_identifiers_do_not_matter(net: Design, salt: str) -> None:
    def name(identifier: str) -> str:
        return f"{salt}{identifier[::-1]}"

    assert_alike(with_ids(check_design(net), name), check_design(renamed(net, name)))


@some_vessels
@given(net=designs())
def test_a_board_that_nothing_is_connected_to_changes_nothing(net: Design) -> None:
    spare = Board(id="spare", label="Spare", nominal_v=12.0)
    found = check_design(replace(net, boards=(spare, *net.boards)))
    others = tuple(check for check in found.checks if check.subject.id != spare.id)
    assert_alike(check_design(net), replace(found, checks=others))


@st.composite
def vessels(draw: st.DrawFn) -> Design:
    """A battery, a feeder of 2 m at least, a board and what hangs on it."""
    way = replace(draw(routes), segment_ids=("W",), length_m=draw(st.floats(2.0, 40.0)))
    run = feeder(cable=draw(cables), route=way, protection=draw(st.none() | protections))
    behind = [
        branch(
            id=f"C{n}",
            label=f"C{n}",
            cable=draw(st.none() | cables),
            route=draw(st.none() | routes),
            loads=tuple(draw(loads(10 * n + k)) for k in range(draw(st.integers(0, 2)))),
        )
        for n in range(draw(st.integers(1, 3)))
    ]
    return design(run, *behind, states=STATES, rule_set=draw(st.sampled_from(RuleSet)))


def instead_of_feeder(net: Design, *runs: Circuit, boards: tuple[Board, ...] = ()) -> Design:
    others = tuple(circuit for circuit in net.circuits if circuit.id != "F1")
    return replace(net, circuits=(*runs, *others), boards=(*net.boards, *boards))


def assert_alike_behind(one: DesignResult, other: DesignResult) -> None:
    for circuit_id in one.circuits.keys() - {"F1"}:
        pair = figures(one.circuits[circuit_id]), figures(other.circuits[circuit_id])
        assert len(pair[0]) == len(pair[1]), circuit_id
        assert all(map(same, *pair)), (circuit_id, pair)


@many_runs
@given(net=vessels())
def test_a_joint_in_the_middle_of_a_run_changes_nothing_behind_it(net: Design) -> None:
    run = net.circuits[0]
    assert run.route is not None
    half = replace(run.route, length_m=run.route.length_m / 2)
    joint = Board(id="joint", label="Joint", nominal_v=run.nominal_v)
    first = replace(run, id="first", to_id="joint", route=half)
    elsewhere = replace(half, segment_ids=("further on",))
    second = replace(run, id="second", from_id="joint", route=elsewhere)
    whole = check_design(net)
    halves = check_design(instead_of_feeder(net, first, second, boards=(joint,)))
    assert_alike_behind(whole, halves)
    one, other = whole.circuits["F1"].drop, halves.circuits["second"].drop
    assert (one is None) == (other is None)
    assert one is None or other is None or same(one.total_v, other.total_v), (one, other)


@many_runs
@given(net=vessels(), size=st.sampled_from([16.0, 35.0, 70.0]), length_m=st.floats(2.0, 20.0))
def test_two_equal_runs_side_by_side_are_one_of_two_conductors(
    net: Design, size: float, length_m: float
) -> None:
    """In air as hot as the insulation allows: no load or neighbour makes them hotter."""
    way = Route(length_m=length_m, ambient_c=85.0)
    one = replace(net.circuits[0], cable=Cable(size=mm2(size), insulation_c=85), route=way)
    double = replace(one, cable=Cable(size=mm2(size), in_parallel=2))
    twice = check_design(instead_of_feeder(net, double))
    sides = check_design(instead_of_feeder(net, replace(one, id="A"), replace(one, id="B")))
    for circuit_id in twice.circuits.keys() - {"F1"}:
        thick, thin = twice.circuits[circuit_id], sides.circuits[circuit_id]
        pair = figures(thick), figures(thin)
        assert len(pair[0]) == len(pair[1]), circuit_id
        assert all(map(same, *pair)), (circuit_id, pair)
    left, right = figures(sides.circuits["A"]), figures(sides.circuits["B"])
    assert all(map(same, left, right)), (left, right)
