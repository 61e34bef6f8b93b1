"""Rules on short circuits, switches and circuits ahead of the isolator."""

from dataclasses import replace
from typing import Any

import pytest

from electrical.core.design import Circuit, CircuitRole, Route
from electrical.core.findings import Severity
from electrical.core.parts import Cable, DeviceType, Protection, Switch
from electrical.core.sizes import mm2
from electrical.core.status import SourceStatus
from tests.unit.core.designs import battery, branch, design, feeder, lamp
from tests.unit.core.verdicts import check, checks, severity


def blade(**changes: Any) -> Protection:
    base = Protection(rating_a=10.0, device=DeviceType.BLADE)
    return replace(base, **changes)


def test_a_weak_device_behind_a_strong_fuse_needs_the_makers_word() -> None:
    run = branch(protection=blade(breaking_capacity_a=1000.0))
    found = check(design(feeder(), run), "breaking", "C1")
    assert found.severity is Severity.ATTENTION
    assert found.message == (
        "The device of C1 breaks 1000 A (marked); 2337 A can flow there; the bolt-in strip fuse "
        "M8 of Feeder ahead breaks it if the makers confirm the pair."
    )


def weak_feeder() -> Circuit:
    return feeder(
        protection=Protection(
            rating_a=125.0, device=DeviceType.STRIP_M8, breaking_capacity_a=2000.0, distance_m=0.1
        )
    )


def test_a_device_that_can_not_break_the_fault_stops() -> None:
    run = branch(protection=blade(breaking_capacity_a=1000.0))
    found = check(design(weak_feeder(), run), "breaking", "C1")
    assert found.severity is Severity.STOP
    assert found.message == "The device of C1 breaks 1000 A (marked); 2337 A can flow there."
    assert found.remedies[0].label == "Use a hydraulic-magnetic panel breaker"


@pytest.mark.parametrize(("size_mm2", "is_offered"), [(1.0, False), (10.0, True)])
def test_a_kind_made_only_larger_than_the_conductor_may_carry_is_no_way_out(
    size_mm2: float, is_offered: bool
) -> None:
    """1510 A, which strip fuses break; but they start at 30 A (ratings from memory)."""
    run = branch(protection=blade(breaking_capacity_a=1000.0), cable=Cable(size=mm2(size_mm2)))
    net = design(weak_feeder(), run, sources=(battery(internal_r_ohm=0.007),))
    labels = [remedy.label for remedy in check(net, "breaking", "C1").remedies]
    assert any("strip fuse" in label for label in labels) is is_offered, labels


def test_an_unmarked_device_counts_with_what_is_typical() -> None:
    found = check(design(weak_feeder(), branch(protection=blade())), "breaking", "C1")
    assert found.severity is Severity.STOP
    assert "1000 A (typical of a blade fuse)" in found.message
    assert found.clause.status is SourceStatus.SECOND_HAND


def test_neither_device_nor_battery_is_guessed() -> None:
    run = branch(protection=blade(device=DeviceType.OTHER))
    bank = battery(internal_r_ohm=None, chemistry=None)
    found = check(design(feeder(), run, sources=(bank,)), "breaking", "C1")
    assert found.severity is Severity.CANNOT_TELL
    assert found.missing == (
        "short-circuit current or internal resistance of House battery",
        "breaking capacity of the device",
    )


@pytest.mark.parametrize(
    ("breaks_a", "expected"),
    [
        (11_000.0, Severity.STOP),
        (15_000.0, Severity.CANNOT_TELL),
        (20_000.0, Severity.PASS),
    ],
)
def test_beside_a_bank_of_unknown_size_the_short_itself_is_sure(
    breaks_a: float, expected: Severity
) -> None:
    """12 kA flow; 20 kA are asked for only if the bank is large."""
    bank = battery(capacity_ah=None, short_circuit_a=12_000.0)
    main = feeder(
        protection=Protection(
            rating_a=125.0, device=DeviceType.CLASS_T, breaking_capacity_a=breaks_a, distance_m=0.1
        )
    )
    found = check(design(main, branch(), sources=(bank,)), "breaking", "F1")
    assert found.severity is expected
    if expected is Severity.STOP:
        assert found.limit == pytest.approx(12_000.0, rel=0.1)
    if expected is Severity.CANNOT_TELL:
        assert found.missing == ("capacity of the bank",)


def test_the_table_by_starting_current_counts_where_it_asks_for_more() -> None:
    bank = battery(internal_r_ohm=0.1, cca_a=1200.0)
    run = branch(protection=blade(breaking_capacity_a=2000.0))
    found = check(design(weak_feeder(), run, sources=(bank,)), "breaking", "C1")
    assert found.severity is Severity.STOP
    assert found.limit == 2500.0
    assert "2500 A is asked for with 1200 A of starting current" in found.message
    main = check(design(feeder(), run, sources=(bank,)), "breaking", "F1")
    assert main.limit == 5000.0


@pytest.mark.parametrize(("rated_v", "expected"), [(14.0, Severity.STOP), (32.0, Severity.PASS)])
def test_the_voltage_rating_covers_the_circuit(rated_v: float, expected: Severity) -> None:
    run = branch(nominal_v=24.0, protection=blade(rated_v=rated_v))
    assert severity(design(feeder(), run), "device-voltage", "C1") is expected


def test_a_thin_conductor_behind_a_large_fuse_does_not_withstand() -> None:
    """(115 · 0.75)² = 7439 A²s at 70 °C; a 200 A strip fuse lets 1200² · 1 s through in a dead
    short, and more at 350 %, which a long run makes of it: 700² · 5 s."""
    run = branch(
        cable=Cable(size=mm2(0.75), insulation_c=70),
        protection=Protection(rating_a=200.0, device=DeviceType.STRIP_M8),
    )
    found = check(design(feeder(), run), "withstand", "C1")
    assert found.severity is Severity.STOP
    assert found.limit == pytest.approx(7439, rel=1e-3)
    assert found.value == pytest.approx(700.0**2 * 5.0)


def test_a_breaker_of_unknown_curve_is_told_only_where_it_is_sure() -> None:
    breaker = blade(device=DeviceType.PANEL_BREAKER, breaking_capacity_a=5000.0)
    thick = branch(cable=Cable(size=mm2(10)), protection=breaker)
    assert severity(design(feeder(), thick), "withstand", "C1") is Severity.PASS
    thin = branch(cable=Cable(size=mm2(1.5)), protection=breaker)
    assert severity(design(feeder(), thin), "withstand", "C1") is Severity.CANNOT_TELL


def test_a_short_at_the_end_of_a_long_thin_run_must_open_its_device() -> None:
    run = branch(
        cable=Cable(size=mm2(1)),
        route=Route(length_m=40.0),
        loads=(lamp(current_a=0.2),),
        protection=blade(rating_a=10.0),
    )
    found = check(design(feeder(), run), "clears", "C1")
    assert found.severity is Severity.STOP
    assert found.message.endswith("it need not open.")
    smaller = replace(run, protection=blade(rating_a=2.0))
    assert severity(design(feeder(), smaller), "clears", "C1") is Severity.PASS


def test_devices_in_series_open_in_order() -> None:
    assert severity(design(), "selective", "C1") is Severity.PASS
    first = feeder(protection=blade(rating_a=15.0, distance_m=0.1))
    found = check(design(first, branch()), "selective", "C1")
    assert found.severity is Severity.ATTENTION
    assert "opens no sooner than the 15 A device of Feeder" in found.message


def test_selectivity_with_an_unknown_curve_is_not_guessed() -> None:
    first = feeder(protection=blade(rating_a=100.0, device=DeviceType.CLASS_T, distance_m=0.1))
    found = check(design(first, branch()), "selective", "C1")
    assert found.severity is Severity.CANNOT_TELL
    assert found.missing == ("time-current curves of its device and of Feeder's",)


def test_a_switch_carries_what_goes_through_it() -> None:
    small = branch(switch=Switch(label="Light switch", continuous_a=3.0))
    found = check(design(feeder(), small), "switch", "C1")
    assert found.severity is Severity.STOP
    assert found.message == "Light switch in C1 carries 5.0 A and is rated 3 A."
    enough = branch(switch=Switch(label="Light switch", continuous_a=5.0))
    assert severity(design(feeder(), enough), "switch", "C1") is Severity.PASS
    unknown = branch(switch=Switch(label="Light switch"))
    assert check(design(feeder(), unknown), "switch", "C1").missing == (
        "continuous rating of Light switch",
    )


def test_a_starting_switch_is_rated_for_starting() -> None:
    crank = branch(
        from_id="house",
        role=CircuitRole.STARTING,
        loads=(lamp(current_a=300.0),),
        switch=Switch(label="Isolator", continuous_a=500.0),
    )
    found = check(design(crank), "switch", "C1")
    assert found.missing == ("starting rating of Isolator",)


def test_short_time_ratings_are_held_against_motor_starts() -> None:
    pump = lamp(current_a=5.0, is_motor=True, start_current_a=40.0)
    run = branch(
        loads=(pump,), switch=Switch(label="Pump switch", continuous_a=10.0, intermittent_a=30.0)
    )
    found = check(design(feeder(), run), "switch", "C1")
    assert found.severity is Severity.ATTENTION
    assert found.value == 40.0


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({}, Severity.NOTE),
        ({"protection": None}, Severity.STOP),
        ({"role": CircuitRole.FEEDER, "to_id": "B1", "loads": ()}, Severity.ATTENTION),
    ],
)
def test_circuits_ahead_of_the_isolator(changes: dict[str, object], expected: Severity) -> None:
    run = branch(from_id="house", always_live=True, **changes)
    assert severity(design(run), "always-live", "C1") is expected


def test_circuits_behind_the_isolator_are_not_mentioned() -> None:
    assert checks(design(), "always-live") == []
