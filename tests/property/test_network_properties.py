"""What holds for every network, whatever its numbers."""

from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from electrical.core.network import (
    Branch,
    Converter,
    Load,
    Network,
    NoOperatingPoint,
    Solved,
    Source,
    fault_currents,
    solve,
)
from tests.peer.networks import SHAPES, random_network

OHM = st.floats(1e-5, 2.0)
WILD_OHM = st.floats(-6.0, 5.0).map(lambda power: 10.0**power)
NODES = st.integers(0, 9).map(lambda k: f"n{k}")


def bank(emf_v: float = 12.8, ohm: float = 0.005) -> Source:
    return Source(source_id="bank", positive="p", negative="n", emf_v=emf_v, resistance_ohm=ohm)


def wire(name: str, one: str, other: str, ohm: float) -> Branch:
    return Branch(branch_id=name, from_node=one, to_node=other, resistance_ohm=ohm)


def voltage(network: Network, positive: str, negative: str) -> float:
    answer = solve(network)
    assert isinstance(answer, Solved)
    return answer.across_v(positive, negative)


@st.composite
def tangles(draw: st.DrawFn) -> Network:
    """Parts joined at random: open ends, shorts, islands, loops and all."""

    def ends(count: int) -> list[tuple[str, str]]:
        pair = st.tuples(NODES, NODES).filter(lambda p: p[0] != p[1])
        return draw(st.lists(pair, max_size=count))

    branches = [
        Branch(
            branch_id=f"w{k}",
            from_node=one,
            to_node=other,
            resistance_ohm=draw(OHM | WILD_OHM),
            is_closed=draw(st.booleans()) or draw(st.booleans()),
        )
        for k, (one, other) in enumerate(ends(14))
    ]
    sources = [
        Source(
            source_id=f"s{k}",
            positive=one,
            negative=other,
            emf_v=draw(st.floats(0.0, 60.0)),
            resistance_ohm=draw(st.floats(1e-4, 1.0) | WILD_OHM),
            max_current_a=draw(st.none() | st.floats(0.0, 100.0)),
            min_current_a=draw(st.none() | st.just(0.0)),
            is_limit_electronic=draw(st.booleans()),
        )
        for k, (one, other) in enumerate(ends(3))
    ]
    loads = [
        Load(
            load_id=f"d{k}",
            positive=one,
            negative=other,
            power_w=draw(st.just(0.0) | st.floats(0.1, 500.0)),
            current_a=draw(st.just(0.0) | st.floats(0.1, 50.0)),
            resistance_ohm=draw(st.none() | st.floats(0.1, 1000.0)),
        )
        for k, (one, other) in enumerate(ends(6))
    ]
    converters = [
        Converter(
            converter_id=f"c{k}",
            in_positive=one,
            in_negative=other,
            out_positive=f"o{k}",
            out_negative=draw(st.sampled_from([other, f"q{k}"])),
            out_v=draw(st.floats(5.0, 48.0)),
            max_current_a=draw(st.none() | st.floats(1.0, 60.0)),
            cutoff_v=draw(st.none() | st.floats(5.0, 20.0)),
            idle_w=draw(st.floats(0.0, 5.0)),
        )
        for k, (one, other) in enumerate(ends(2))
    ]
    return Network(
        branches=tuple(branches),
        sources=tuple(sources),
        loads=tuple(loads),
        converters=tuple(converters),
    )


IDLES_ON_NOTHING = Network(
    branches=(wire("w0", "n0", "n1", 1.0), wire("w1", "n0", "n2", 1.0)),
    sources=(
        Source(source_id="s0", positive="n0", negative="n2", emf_v=1.0, resistance_ohm=1.0),
        Source(source_id="s1", positive="n0", negative="n1", emf_v=0.0, resistance_ohm=1.0),
    ),
    converters=(
        Converter(
            converter_id="c0",
            in_positive="n0",
            in_negative="n1",
            out_positive="o0",
            out_negative="n1",
            out_v=8.375,
            idle_w=1.4e-65,
        ),
    ),
)


@example(IDLES_ON_NOTHING)
@settings(deadline=None, max_examples=300)
@given(tangles())
def test_every_tangle_gets_a_verdict_and_adds_up(network: Network) -> None:
    answer = solve(network)
    fault_currents(network)
    if isinstance(answer, NoOperatingPoint):
        assert 0.0 <= answer.load_fraction <= 1.0
        return
    for load in network.loads:
        flow = answer.load_flow(load)
        if flow.is_supplied:
            law_a = load.current_at_a(flow.voltage_v)
            assert abs(flow.current_a - law_a) <= 1e-6 * (1.0 + abs(law_a))
    largest_a = max(map(abs, (*answer.branch_a.values(), *answer.source_a.values(), 1.0)))
    assert answer.residual_a <= 1e-6 * largest_a


@pytest.mark.parametrize("power_w", [1e-300, 1e-12, 1e-9, 1e-6, 1e-3])
def test_power_asked_for_where_there_is_no_voltage_gets_a_verdict(power_w: float) -> None:
    load = Load(load_id="d", positive="n0", negative="n1", power_w=power_w)
    idle = replace(IDLES_ON_NOTHING.converters[0], idle_w=power_w)
    for parts in ({"loads": (load,), "converters": ()}, {"converters": (idle,)}):
        answer = solve(replace(IDLES_ON_NOTHING, **parts))
        assert isinstance(answer, Solved) == (power_w < 1e-9)


@settings(deadline=None, max_examples=40)
@given(st.integers(1000, 100_000), st.sampled_from(SHAPES))
def test_power_given_is_power_used_and_heat(seed: int, shape: str) -> None:
    network = random_network(seed, shape)
    answer = solve(network)
    if isinstance(answer, NoOperatingPoint):
        return
    given_w = sum(answer.source_flow(source).power_w for source in network.sources)
    used_w = sum(answer.load_flow(load).power_w for load in network.loads)
    flows = [answer.converter_flow(converter) for converter in network.converters]
    used_w += sum(flow.in_w - flow.out_w for flow in flows)
    assert abs(given_w - used_w - answer.loss_w) < 1e-6 * given_w


@given(OHM, OHM, st.floats(0.1, 3.0))
def test_two_conductors_in_series_are_their_sum(one: float, two: float, amps: float) -> None:
    load = Load(load_id="x", positive="d", negative="n", current_a=amps)
    split = Network(
        sources=(bank(),),
        branches=(wire("a", "p", "m", one), wire("b", "m", "d", two)),
        loads=(load,),
    )
    whole = Network(sources=(bank(),), branches=(wire("a", "p", "d", one + two),), loads=(load,))
    assert abs(voltage(split, "d", "n") - voltage(whole, "d", "n")) < 1e-9


@given(OHM, OHM, st.floats(0.1, 3.0))
def test_two_conductors_in_parallel_are_product_over_sum(
    one: float, two: float, amps: float
) -> None:
    load = Load(load_id="x", positive="d", negative="n", current_a=amps)
    split = Network(
        sources=(bank(),),
        branches=(wire("a", "p", "d", one), wire("b", "p", "d", two)),
        loads=(load,),
    )
    ohm = one * two / (one + two)
    whole = Network(sources=(bank(),), branches=(wire("a", "p", "d", ohm),), loads=(load,))
    assert abs(voltage(split, "d", "n") - voltage(whole, "d", "n")) < 1e-9


def two_loads(one_a: float, two_a: float) -> Network:
    return Network(
        sources=(bank(),),
        branches=(wire("a", "p", "m", 0.02), wire("b", "m", "d", 0.03), wire("c", "m", "e", 0.01)),
        loads=(
            Load(load_id="x", positive="d", negative="n", current_a=one_a),
            Load(load_id="y", positive="e", negative="n", current_a=two_a),
        ),
    )


@given(st.floats(0.0, 40.0), st.floats(0.0, 40.0))
def test_drops_of_constant_currents_add(one_a: float, two_a: float) -> None:
    def drop(network: Network) -> float:
        return 12.8 - voltage(network, "d", "n")

    both = drop(two_loads(one_a, two_a))
    assert abs(both - drop(two_loads(one_a, 0.0)) - drop(two_loads(0.0, two_a))) < 1e-9


@given(st.floats(1.0, 100.0), OHM, st.floats(1.0, 3.0))
def test_more_resistance_never_raises_the_voltage(watts: float, ohm: float, more: float) -> None:
    load = Load(load_id="x", positive="d", negative="n", power_w=watts)
    thick = Network(sources=(bank(),), branches=(wire("a", "p", "d", ohm),), loads=(load,))
    thin = replace(thick, branches=(wire("a", "p", "d", ohm * more),))
    first, second = solve(thick), solve(thin)
    if isinstance(first, NoOperatingPoint):
        assert isinstance(second, NoOperatingPoint)
    elif isinstance(second, Solved):
        assert second.across_v("d", "n") <= first.across_v("d", "n") + 1e-9


@settings(deadline=None, max_examples=40)
@given(st.integers(0, 100_000))
def test_fault_current_never_rises_away_from_the_battery(seed: int) -> None:
    network = random_network(seed, "radial")
    faults = fault_currents(network)
    for branch in network.branches:
        near = faults.get((branch.from_node, "bank-"))
        far = faults.get((branch.to_node, "bank-"))
        if near is not None and far is not None and near.open_v > 1.0:
            assert far.current_a <= near.current_a * (1 + 1e-9)
