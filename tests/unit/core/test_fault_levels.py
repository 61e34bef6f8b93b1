"""Fault currents where something is not known, limits itself, or comes through a link."""

from dataclasses import replace

import pytest

from electrical.core.conductors import least_loop_r_ohm
from electrical.core.design import Circuit, CircuitRole, Design, Route
from electrical.core.fault_levels import point_fault, run_fault
from electrical.core.findings import Severity
from electrical.core.parts import Cable
from electrical.core.sizes import mm2
from electrical.core.sources import Converter, Source, SourceKind
from tests.unit.core.designs import battery, branch, design, feeder, lamp
from tests.unit.core.test_emergency_start import link, vessel
from tests.unit.core.verdicts import check, severity

CONVERTER = Converter(id="U", label="24 to 12", output_v=12.0, efficiency=0.9, max_output_a=30.0)


def behind_a_converter(converter: Converter = CONVERTER) -> Design:
    lead_in = feeder(id="F0", label="F0", to_id="U", nominal_v=24.0)
    bank = battery(nominal_v=24.0, emf_v=25.6)
    return design(lead_in, feeder(from_id="U"), branch(), sources=(bank,), converters=(converter,))


def charged(max_output_a: float | None = 90.0) -> Design:
    alternator = Source(
        id="alt",
        label="Alternator",
        kind=SourceKind.ALTERNATOR,
        nominal_v=12.0,
        max_output_a=max_output_a,
    )
    charging = Circuit(
        id="A1",
        label="A1",
        from_id="alt",
        to_id="house",
        role=CircuitRole.CHARGING,
        nominal_v=12.0,
        cable=Cable(size=mm2(25)),
        route=Route(length_m=2.0),
    )
    return design(feeder(), branch(), charging, sources=(battery(), alternator))


def test_a_board_behind_a_converter_gets_its_largest_output() -> None:
    net = behind_a_converter()
    assert point_fault(net, "B1").current_a == pytest.approx(30.0)
    assert check(net, "breaking", "C1").limit == pytest.approx(30.0)


def test_a_converter_adds_its_output_to_a_battery() -> None:
    """12 V battery on the board beside a converter: its 2337 A and 30 A."""
    second = battery(id="second", label="Second battery")
    net = behind_a_converter()
    beside = replace(
        net,
        sources=(*net.sources, second),
        circuits=(*net.circuits, feeder(id="F2", label="F2", from_id="second")),
    )
    alone_a = point_fault(design(feeder(), branch()), "B1").current_a
    assert alone_a is not None
    assert point_fault(beside, "B1").current_a == pytest.approx(alone_a + 30.0)
    at_output_a = point_fault(beside, "U").current_a
    assert at_output_a is not None
    assert at_output_a > 1000.0  # the battery feeds back to the device at the converter


@pytest.mark.parametrize(
    ("net", "missing"),
    [
        (behind_a_converter(replace(CONVERTER, max_output_a=None)), "largest output of 24 to 12"),
        (charged(max_output_a=None), "largest output of Alternator"),
    ],
)
def test_what_a_source_gives_is_not_taken_for_nothing(net: Design, missing: str) -> None:
    found = check(net, "breaking", "C1")
    assert found.severity is Severity.CANNOT_TELL
    assert missing in found.missing


def test_a_board_nothing_feeds_can_not_be_told() -> None:
    point = point_fault(design(branch()), "B1")
    assert (point.current_a, point.missing) == (None, ("source that feeds Board 1",))


def test_a_device_must_open_without_the_charging() -> None:
    """90 A more to break, none more to open it: the battery's 4 mΩ, the feeder and the run hot.

    1.5 m of 35 mm², class 5 tinned 0.565 Ω/km (IEC 60228), at its 85 °C:
    2 · 1.5 · 0.565 · (1 + 0.00393 · 65) = 2.128 mΩ; 12.8 V / (4 + 2.128 + 100) mΩ = 120.6 A.
    """
    point, alone = point_fault(charged(), "B1"), point_fault(design(feeder(), branch()), "B1")
    assert alone.current_a is not None
    assert point.current_a is not None
    assert point.current_a > alone.current_a + 50.0
    assert point.through_a(0.1) == pytest.approx(120.6, abs=0.05)
    assert point.through_a(0.1) == alone.through_a(0.1)


@pytest.mark.parametrize(("loop_ohm", "amperes"), [(0.0, 30.0), (0.2, 30.0), (0.8, 15.0)])
def test_what_limits_itself_keeps_its_limit_to_the_far_end(loop_ohm: float, amperes: float) -> None:
    fault, _missing = run_fault(point_fault(behind_a_converter(), "B1"), loop_r_ohm=loop_ohm)
    assert fault is not None
    assert fault.at_end_a == pytest.approx(amperes)


def test_a_link_counts_for_breaking_and_not_for_opening() -> None:
    limited = point_fault(vessel(links=(link(current_limited=True),)), "B1")
    linked = point_fault(vessel(), "B1")
    assert linked.current_a is not None
    assert linked.batteries_a == pytest.approx(limited.batteries_a)
    assert linked.current_a > 1.2 * linked.batteries_a


@pytest.mark.parametrize("led", [set(), {"house"}])
def test_a_link_whose_leads_are_not_laid_out_counts_as_a_joint(led: set[str]) -> None:
    """Least resistance, largest fault: never as if the other battery were not there.

    Batteries of 4 and 6 mΩ at 12.8 V behind the feeder's 1.478 mΩ: 12.8 / (2.4 + 1.478) mΩ;
    with 2 mΩ told of the link 12.8 / (4 ∥ 8 + 1.478) mΩ.
    """
    circuits = tuple(
        c for c in vessel().circuits if c.role is not CircuitRole.LINK or c.from_id in led
    )
    bare = replace(vessel(), circuits=circuits)
    assert point_fault(bare, "B1").current_a == pytest.approx(12.8 / 3.878e-3, rel=0.01)
    told = replace(bare, links=(link(loop_r_ohm=0.002),))
    assert point_fault(told, "B1").current_a == pytest.approx(12.8 / 4.145e-3, rel=0.01)


def test_the_makers_resistance_counts_for_the_least_where_it_is_less() -> None:
    low = Cable(size=mm2(35), max_r_ohm_per_km=0.4)
    assert least_loop_r_ohm(cable=low, length_m=500.0) == pytest.approx(0.4)
    high = Cable(size=mm2(35), max_r_ohm_per_km=0.6)
    assert least_loop_r_ohm(cable=high, length_m=500.0) == pytest.approx(0.017241 / 35 * 1000)


def told(current_a: float | None) -> Design:
    """A feeder told to carry 100 A, with a load behind it that nobody knows."""
    mystery = branch(
        id="C2",
        label="C2",
        cable=Cable(size=mm2(35)),
        route=Route(length_m=0.5),
        loads=(lamp(id="D2", current_a=current_a),),
    )
    return design(feeder(max_current_a=100.0, route=Route(length_m=6.0)), branch(), mystery)


def test_a_feeder_is_held_to_what_it_is_told_to_carry() -> None:
    """Not to the loads that happen to be known: 95 A more go through it."""
    known = told(95.0)
    for rule in ("drop", "ampacity"):
        found, same = check(told(None), rule, "F1"), check(known, rule, "F1")
        assert found.value == pytest.approx(same.value, rel=0.05)
    assert severity(told(None), "drop", "C1") is Severity.STOP
