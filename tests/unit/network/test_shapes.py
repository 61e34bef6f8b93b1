"""Shapes are worked out once, and a solution that does not add up is withheld."""

import itertools
from dataclasses import replace

import pytest

from electrical.core.network import Branch, ConservationError, Load, Network, Source, solve
from electrical.core.network.equations import Equations, Point, newton, no_load
from electrical.core.network.recover import recover
from electrical.core.network.topology import cached_shapes, clear_cache, topology_of


def star(circuits: int) -> Network:
    """A battery, a busbar and some circuits of four pieces each."""
    branches = [
        Branch(branch_id="main", from_node="b+", to_node="bus+", resistance_ohm=0.001),
        Branch(branch_id="back", from_node="bus-", to_node="b-", resistance_ohm=0.001),
    ]
    for n in range(circuits):
        steps = ("bus+", f"f{n}", f"s{n}", f"d{n}+")
        branches += [
            Branch(branch_id=f"{a}>{b}", from_node=a, to_node=b, resistance_ohm=0.01)
            for a, b in itertools.pairwise(steps)
        ]
        branches.append(
            Branch(branch_id=f"r{n}", from_node=f"d{n}-", to_node="bus-", resistance_ohm=0.03)
        )
    return Network(
        sources=(
            Source(
                source_id="bank", positive="b+", negative="b-", emf_v=12.8, resistance_ohm=0.004
            ),
        ),
        branches=tuple(branches),
        loads=tuple(
            Load(load_id=f"x{n}", positive=f"d{n}+", negative=f"d{n}-", power_w=20.0)
            for n in range(circuits)
        ),
    )


def test_circuits_on_their_own_leave_no_unknowns_behind() -> None:
    few, many = topology_of(star(2)), topology_of(star(50))
    assert many.pattern.size == few.pattern.size == 3
    assert len(many.draws[49].out) == 3
    assert len(many.draws[49].back) == 1


def test_the_same_shape_is_met_again_whatever_its_loads() -> None:
    clear_cache()
    network = star(5)
    solve(network)
    dimmed = replace(
        network, loads=tuple(replace(load, power_w=1.0 + load.power_w) for load in network.loads)
    )
    solve(dimmed)
    assert len(cached_shapes()) == 1
    opened = replace(
        network, branches=(replace(network.branches[0], is_closed=False), *network.branches[1:])
    )
    solve(opened)
    assert len(cached_shapes()) == 2


def test_shapes_kept_are_bounded() -> None:
    clear_cache()
    for circuits in range(1, 80):
        topology_of(star(circuits))
    assert len(cached_shapes()) == 12


def test_a_solution_that_does_not_add_up_is_withheld() -> None:
    network = star(3)
    equations = Equations(network, topology_of(network))
    start = no_load(equations)
    assert isinstance(start, Point)
    point = newton(equations, start.v)
    assert isinstance(point, Point)
    recover(equations, point, frozenset())
    wrong = Point([volts + 1e-3 * k for k, volts in enumerate(point.v)], point.steps)
    with pytest.raises(ConservationError, match=r"^Current does not add up: .* A left over of"):
        recover(equations, wrong, frozenset())
