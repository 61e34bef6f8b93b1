"""Working points of small networks, against algebra done by hand."""

from math import sqrt

import pytest

from electrical.core.errors import BadInput
from electrical.core.network import (
    Branch,
    Converter,
    Load,
    Network,
    NoOperatingPoint,
    Reason,
    Solved,
    Source,
    solve,
)


def bank(name: str = "bank", emf_v: float = 12.8, ohm: float = 0.01, **limits: float) -> Source:
    return Source(
        source_id=name,
        positive=f"{name}+",
        negative=f"{name}-",
        emf_v=emf_v,
        resistance_ohm=ohm,
        **limits,  # type: ignore[arg-type]
    )


def wire(one: str, other: str, ohm: float, *, is_closed: bool = True) -> Branch:
    return Branch(
        branch_id=f"{one}>{other}",
        from_node=one,
        to_node=other,
        resistance_ohm=ohm,
        is_closed=is_closed,
    )


def loop(load: Load, out_ohm: float = 0.05, back_ohm: float = 0.05) -> Network:
    return Network(
        sources=(bank(),),
        branches=(wire("bank+", "d+", out_ohm), wire("d-", "bank-", back_ohm)),
        loads=(load,),
    )


def solved(network: Network) -> Solved:
    answer = solve(network)
    assert isinstance(answer, Solved)
    return answer


def test_constant_power_takes_the_larger_root() -> None:
    answer = solved(loop(Load(load_id="x", positive="d+", negative="d-", power_w=100.0)))
    expected_v = (12.8 + sqrt(12.8**2 - 4 * 0.11 * 100.0)) / 2
    assert answer.across_v("d+", "d-") == pytest.approx(expected_v, abs=1e-12)
    assert answer.load_a["x"] == pytest.approx(100.0 / expected_v)


def test_constant_current_drops_volts_times_ohms_on_both_conductors() -> None:
    answer = solved(loop(Load(load_id="x", positive="d+", negative="d-", current_a=10.0)))
    assert answer.across_v("d+", "d-") == pytest.approx(12.8 - 10.0 * 0.11)
    assert answer.node_v["d-"] == pytest.approx(0.5)
    assert answer.branch_a["bank+>d+"] == pytest.approx(10.0)


def test_resistance_divides_the_voltage() -> None:
    answer = solved(loop(Load(load_id="x", positive="d+", negative="d-", resistance_ohm=1.17)))
    assert answer.load_a["x"] == pytest.approx(12.8 / 1.28)


def test_mixed_load_obeys_its_own_law() -> None:
    load = Load(
        load_id="x",
        positive="d+",
        negative="d-",
        power_w=30.0,
        current_a=2.0,
        resistance_ohm=8.0,
    )
    flow = solved(loop(load)).load_flow(load)
    assert flow.current_a == pytest.approx(30.0 / flow.voltage_v + 2.0 + flow.voltage_v / 8.0)
    assert flow.current_a == pytest.approx((12.8 - flow.voltage_v) / 0.11)


def test_more_than_the_line_can_carry_has_no_operating_point() -> None:
    limit_w = 12.8**2 / (4 * 0.11)
    answer = solve(loop(Load(load_id="pump", positive="d+", negative="d-", power_w=limit_w * 1.25)))
    assert isinstance(answer, NoOperatingPoint)
    assert answer.reason is Reason.COLLAPSE
    assert answer.load_id == "pump"
    assert answer.load_fraction == pytest.approx(0.8, abs=1e-5)
    assert answer.message.startswith("The voltage at pump collapses: at most 80 % of the load")


def test_just_under_the_limit_is_still_solved() -> None:
    limit_w = 12.8**2 / (4 * 0.11)
    answer = solved(loop(Load(load_id="x", positive="d+", negative="d-", power_w=0.9999 * limit_w)))
    assert answer.across_v("d+", "d-") == pytest.approx(6.4 * (1 + sqrt(1e-4)), rel=1e-9)


def test_collapse_names_the_weak_branch_and_load_among_many() -> None:
    network = Network(
        sources=(bank(ohm=0.004),),
        branches=(
            wire("bank+", "bus", 0.001),
            wire("bus", "a+", 0.02),
            wire("a-", "bank-", 0.02),
            wire("bus", "b+", 1.3),
            wire("b-", "bank-", 0.02),
        ),
        loads=(
            Load(load_id="lights", positive="a+", negative="a-", power_w=40.0),
            Load(load_id="winch", positive="b+", negative="b-", power_w=60.0),
        ),
    )
    answer = solve(network)
    assert isinstance(answer, NoOperatingPoint)
    assert (answer.load_id, answer.branch_id) == ("winch", "bus>b+")


def test_parallel_banks_share_by_their_lead_resistance() -> None:
    network = Network(
        sources=(bank("one"), bank("two")),
        branches=(
            wire("one+", "bus+", 0.005),
            wire("bus-", "one-", 0.005),
            wire("two+", "bus+", 0.015),
            wire("bus-", "two-", 0.005),
        ),
        loads=(Load(load_id="x", positive="bus+", negative="bus-", current_a=50.0),),
        reference="bus-",
    )
    answer = solved(network)
    assert answer.source_a["one"] == pytest.approx(50.0 * 0.03 / 0.05)
    assert answer.source_a["two"] == pytest.approx(50.0 * 0.02 / 0.05)


def test_unequal_banks_charge_one_from_the_other() -> None:
    network = Network(
        sources=(bank("one", 12.8), bank("two", 12.2)),
        branches=(wire("one+", "two+", 0.005), wire("two-", "one-", 0.005)),
    )
    assert solved(network).source_a["two"] == pytest.approx(-0.6 / 0.03)


def test_charger_holds_at_its_limit_and_never_takes_back() -> None:
    charger = bank("charger", 14.4, 0.01, max_current_a=30.0, min_current_a=0.0)
    leads = (wire("charger+", "bank+", 0.002), wire("bank-", "charger-", 0.002))
    network = Network(sources=(bank(), charger), branches=leads)
    answer = solved(network)
    assert answer.source_a["charger"] == pytest.approx(30.0)
    assert answer.source_flow(charger).is_at_limit
    resting = bank("charger", 12.0, 0.01, max_current_a=30.0, min_current_a=0.0)
    assert solved(Network(sources=(bank(), resting), branches=leads)).source_a["charger"] == 0.0


def test_ring_feeder_divides_current_by_resistance_of_its_two_ways() -> None:
    network = Network(
        sources=(bank(ohm=0.001),),
        branches=(
            wire("bank+", "near", 0.01),
            wire("near", "far", 0.02),
            wire("bank+", "far", 0.06),
        ),
        loads=(
            Load(load_id="x", positive="far", negative="bank-", current_a=12.0),
            Load(load_id="y", positive="near", negative="bank-", current_a=3.0),
        ),
    )
    answer = solved(network)
    assert answer.branch_a["bank+>far"] == pytest.approx((12.0 * 0.03 + 3.0 * 0.01) / 0.09)


def converter_network(*, is_isolated: bool, cutoff_v: float | None = None) -> Network:
    negative = "c-" if is_isolated else "in-"
    return Network(
        sources=(bank(emf_v=24.0),),
        branches=(
            wire("bank+", "in+", 0.05),
            wire("in-", "bank-", 0.05),
            wire("c+", "d+", 0.02),
            wire("d-", negative, 0.02),
        ),
        loads=(Load(load_id="x", positive="d+", negative="d-", current_a=10.0),),
        converters=(
            Converter(
                converter_id="step-down",
                in_positive="in+",
                in_negative="in-",
                out_positive="c+",
                out_negative=negative,
                out_v=12.0,
                out_resistance_ohm=0.01,
                efficiency=0.9,
                idle_w=3.0,
                cutoff_v=cutoff_v,
            ),
        ),
    )


@pytest.mark.parametrize("is_isolated", [True, False])
def test_converter_takes_output_power_over_efficiency(is_isolated: bool) -> None:
    network = converter_network(is_isolated=is_isolated)
    flow = solved(network).converter_flow(network.converters[0])
    assert flow.out_v == pytest.approx(11.9)
    assert flow.in_w == pytest.approx(119.0 / 0.9 + 3.0)
    expected_v = (24.0 + sqrt(24.0**2 - 4 * 0.11 * flow.in_w)) / 2
    assert flow.in_v == pytest.approx(expected_v, abs=1e-9)


def test_isolated_output_is_counted_from_its_own_negative() -> None:
    answer = solved(converter_network(is_isolated=True))
    assert answer.node_v["c-"] == 0.0
    assert answer.node_v["d-"] == pytest.approx(0.2)


def test_converter_under_its_cut_off_switches_off_and_leaves_its_loads_dead() -> None:
    network = converter_network(is_isolated=True, cutoff_v=23.5)
    answer = solved(network)
    assert answer.cut_off_converters == ("step-down",)
    assert answer.unsupplied_loads == ("x",)
    assert not answer.converter_flow(network.converters[0]).is_on
    assert answer.source_a["bank"] == 0.0


def test_the_converter_furthest_under_its_cut_off_goes_first_and_saves_the_other() -> None:
    def step_down(name: str, cutoff_v: float) -> Converter:
        return Converter(
            converter_id=name,
            in_positive="in+",
            in_negative="in-",
            out_positive=f"{name}+",
            out_negative=f"{name}-",
            out_v=12.0,
            efficiency=0.9,
            cutoff_v=cutoff_v,
        )

    network = Network(
        sources=(bank(emf_v=24.0),),
        branches=(wire("bank+", "in+", 0.05), wire("in-", "bank-", 0.05)),
        loads=tuple(
            Load(load_id=name, positive=f"{name}+", negative=f"{name}-", current_a=25.0)
            for name in ("early", "late")
        ),
        converters=(step_down("late", 21.0), step_down("early", 21.5)),
    )
    answer = solved(network)
    assert answer.cut_off_converters == ("early",)
    assert answer.unsupplied_loads == ("early",)
    assert answer.converter_flow(network.converters[0]).in_v > 21.5


def test_efficiency_curve_is_read_between_its_points() -> None:
    converter = Converter(
        converter_id="c",
        in_positive="a",
        in_negative="b",
        out_positive="c",
        out_negative="d",
        out_v=12.0,
        efficiency=((10.0, 0.6), (110.0, 0.9)),
    )
    assert converter.efficiency_at(5.0) == 0.6
    assert converter.efficiency_at(60.0) == pytest.approx(0.75)
    assert converter.efficiency_at(500.0) == 0.9


def test_open_switch_leaves_its_load_unsupplied() -> None:
    load = Load(load_id="x", positive="d+", negative="d-", power_w=20.0, min_v=10.0)
    network = Network(
        sources=(bank(),),
        branches=(wire("bank+", "d+", 0.01, is_closed=False), wire("d-", "bank-", 0.01)),
        loads=(load,),
    )
    answer = solved(network)
    assert answer.unsupplied_loads == ("x",)
    assert answer.unsupplied_nodes == ("d+",)
    assert answer.node_v["d-"] == 0.0
    assert not answer.load_flow(load).is_supplied


def test_load_with_both_ends_on_one_busbar_draws_nothing() -> None:
    network = Network(
        sources=(bank(),),
        branches=(wire("bank+", "bus", 0.01), wire("bus", "d+", 0.01), wire("bus", "d-", 0.01)),
        loads=(
            Load(load_id="x", positive="d+", negative="d-", power_w=20.0),
            Load(load_id="y", positive="bus", negative="bank-", current_a=1.0),
        ),
    )
    answer = solved(network)
    assert answer.unsupplied_loads == ("x",)
    assert answer.node_v["d+"] == pytest.approx(12.8 - 0.02)


def test_voltage_under_the_minimum_is_flagged() -> None:
    load = Load(load_id="x", positive="d+", negative="d-", current_a=30.0, min_v=10.0)
    assert solved(loop(load)).load_flow(load).is_below_minimum is True


def test_chargers_alone_that_can_not_carry_the_load_are_no_operating_point() -> None:
    network = Network(
        sources=(bank(max_current_a=5.0, min_current_a=0.0),),
        loads=(Load(load_id="x", positive="bank+", negative="bank-", power_w=200.0),),
    )
    answer = solve(network)
    assert isinstance(answer, NoOperatingPoint)
    assert answer.load_fraction == pytest.approx(5.0 * (12.8 - 0.05) / 200.0, rel=1e-4)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (
            lambda: wire("a", "b", 0.0),
            "a>b: resistance: 0 ohm must be above 0 ohm.",
        ),
        (lambda: wire("a", "b", 1e-9), "a>b: resistance: 1e-09 ohm is below 1e-06 ohm."),
        (
            lambda: Network(branches=(wire("a", "b", 1.0), wire("a", "b", 1.0))),
            "Two parts of kind branch are named a>b.",
        ),
        (lambda: Network(branches=(wire("a", "a", 1.0),)), "a>a: both ends are at node a."),
        (
            lambda: solve(Network(sources=(bank(),), reference="keel")),
            "Reference: keel is not a node of the network.",
        ),
    ],
)
def test_impossible_network_is_refused_by_name(make: object, message: str) -> None:
    with pytest.raises(BadInput) as caught:
        make()  # type: ignore[operator]
    assert str(caught.value) == message
