"""Short-circuit currents against hand sums and against a dense inverse."""

import numpy as np
import pytest

from electrical.core.network import Branch, Converter, Load, Network, Source, fault_currents
from tests.peer.networks import SHAPES, random_network


def source(name: str, emf_v: float, ohm: float, **more: object) -> Source:
    return Source(
        source_id=name,
        positive=f"{name}+",
        negative="neg",
        emf_v=emf_v,
        resistance_ohm=ohm,
        **more,  # type: ignore[arg-type]
    )


def wire(one: str, other: str, ohm: float) -> Branch:
    return Branch(branch_id=f"{one}>{other}", from_node=one, to_node=other, resistance_ohm=ohm)


def test_current_is_voltage_over_source_and_cable() -> None:
    network = Network(
        sources=(source("bank", 12.8, 0.004),),
        branches=(wire("bank+", "bus", 0.001), wire("bus", "d+", 0.02), wire("d-", "neg", 0.02)),
        loads=(Load(load_id="x", positive="d+", negative="d-", power_w=50.0),),
    )
    faults = fault_currents(network)
    assert faults["bank+", "neg"].current_a == pytest.approx(3200.0)
    assert faults["bus", "neg"].current_a == pytest.approx(2560.0)
    assert faults["d+", "neg"].current_a == pytest.approx(12.8 / 0.025)
    pair = fault_currents(network, [("d+", "d-")])["d+", "d-"]
    assert pair.current_a == pytest.approx(12.8 / 0.045)
    assert pair.loop_ohm == pytest.approx(0.045)


def test_parallel_strings_add() -> None:
    branches = tuple(wire(f"b{k}+", "bus", 1e-6) for k in range(3))
    network = Network(
        sources=tuple(source(f"b{k}", 12.8, 0.006) for k in range(3)), branches=branches
    )
    one = 12.8 / (0.006 + 1e-6)
    assert fault_currents(network)["bus", "neg"].current_a == pytest.approx(3 * one)


def test_electronic_limit_adds_no_more_than_itself() -> None:
    network = Network(
        sources=(
            source("bank", 12.8, 0.005),
            source("charger", 14.4, 0.005, max_current_a=40.0, is_limit_electronic=True),
        ),
        branches=(wire("bank+", "bus", 0.001), wire("charger+", "bus", 0.001)),
    )
    fault = fault_currents(network)["bus", "neg"]
    assert fault.current_a == pytest.approx(12.8 / 0.006 + 40.0)


def test_battery_management_limit_is_no_fault_rating() -> None:
    network = Network(
        sources=(source("bank", 13.2, 0.003, max_current_a=150.0, fault_resistance_ohm=0.002),)
    )
    assert fault_currents(network)["bank+", "neg"].current_a == pytest.approx(6600.0)


def test_converter_output_gives_its_limit_and_isolated_parts_stay_apart() -> None:
    network = Network(
        sources=(source("bank", 24.0, 0.01),),
        branches=(wire("c+", "far", 0.5),),
        converters=(
            Converter(
                converter_id="c",
                in_positive="bank+",
                in_negative="neg",
                out_positive="c+",
                out_negative="c-",
                out_v=12.0,
                out_resistance_ohm=0.01,
                max_current_a=20.0,
            ),
        ),
    )
    faults = fault_currents(network, [("c+", "c-"), ("far", "c-"), ("c+", "neg"), ("x", "neg")])
    assert faults["c+", "c-"].current_a == pytest.approx(20.0)
    assert faults["far", "c-"].current_a == pytest.approx(20.0)
    assert faults["c+", "neg"].current_a == 0.0
    assert faults["c+", "neg"].loop_ohm is None
    assert faults["x", "neg"].loop_ohm is None


@pytest.mark.parametrize("shape", SHAPES[:2])
@pytest.mark.parametrize("seed", range(10))
def test_every_node_agrees_with_a_dense_inverse(seed: int, shape: str) -> None:
    network = random_network(seed, shape)
    stiff = Network(
        branches=network.branches,
        sources=tuple(s for s in network.sources if s.source_id != "charger"),
        reference=network.reference,
    )
    faults = fault_currents(stiff)
    names = sorted({n for b in stiff.branches for n in (b.from_node, b.to_node)} - {"bank-"})
    number = {name: k for k, name in enumerate(names)}
    matrix, rhs = np.zeros((len(names), len(names))), np.zeros(len(names))
    ties = [(b.from_node, b.to_node, 1 / b.resistance_ohm, 0.0) for b in stiff.branches]
    ties += [(s.positive, s.negative, 1 / s.resistance_ohm, s.emf_v) for s in stiff.sources]
    for one, other, siemens, emf_v in ties:
        for a, b, sign in ((one, other, 1.0), (other, one, -1.0)):
            if a in number:
                matrix[number[a], number[a]] += siemens
                rhs[number[a]] += sign * emf_v * siemens
                if b in number:
                    matrix[number[a], number[b]] -= siemens
    inverse = np.linalg.inv(matrix)
    open_v = inverse @ rhs
    assert len(faults) == len(names)
    for name, k in number.items():
        expected_a = max(open_v[k], 0.0) / inverse[k, k]
        assert faults[name, "bank-"].current_a == pytest.approx(expected_a, rel=1e-6, abs=1e-6)
