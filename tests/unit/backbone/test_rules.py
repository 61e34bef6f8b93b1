"""Findings about the data backbone, rule by rule, just inside and just outside."""

from typing import Any

import pytest

from electrical.core.backbone import Backbone, DataSupply
from electrical.core.findings import Finding, Severity
from electrical.core.rules.data_backbone import check_backbone
from electrical.core.status import SourceStatus
from tests.unit.backbone.lines import MID, device, line, segment


def findings(backbone: Backbone, rule_id: str) -> list[Finding]:
    return [f for f in check_backbone(backbone)[1] if f.rule_id == rule_id]


def severity(backbone: Backbone, rule_id: str) -> Severity:
    return max((f.severity for f in findings(backbone, rule_id)), key=lambda s: -s.rank)


def test_a_plain_backbone_passes_every_rule_and_says_second_hand() -> None:
    found = check_backbone(line(device("a", "A"), device("c", "C", 4, 2.0)))[1]
    assert {f.severity for f in found} == {Severity.PASS}
    assert {f.clause.status for f in found} == {SourceStatus.SECOND_HAND}


@pytest.mark.parametrize(("length_m", "expected"), [(50.0, Severity.PASS), (50.1, Severity.STOP)])
def test_light_backbone_is_at_most_100_m(length_m: float, expected: Severity) -> None:
    segments = (segment("A", "B", 50.0), segment("B", "C", length_m))
    assert severity(line(segments=segments), "data-length") is expected


def test_one_light_piece_makes_the_whole_backbone_light() -> None:
    segments = (segment("A", "B", 5.0), segment("B", "C", 100.0, MID))
    assert severity(line(segments=segments), "data-length") is Severity.STOP


@pytest.mark.parametrize(("drop_m", "expected"), [(6.0, Severity.PASS), (6.1, Severity.STOP)])
def test_one_drop_is_at_most_6_m(drop_m: float, expected: Severity) -> None:
    assert severity(line(device("a", "B", 1, drop_m)), "data-drop-length") is expected


@pytest.mark.parametrize(("count", "expected"), [(13, Severity.PASS), (14, Severity.STOP)])
def test_all_drops_are_at_most_78_m(count: int, expected: Severity) -> None:
    devices = [device(f"d{k}", "B", 0, 6.0) for k in range(count)]
    assert severity(line(*devices), "data-drops-together") is expected


@pytest.mark.parametrize(("count", "expected"), [(50, Severity.PASS), (51, Severity.STOP)])
def test_at_most_50_devices(count: int, expected: Severity) -> None:
    devices = [device(f"d{k}", "B", 0) for k in range(count)]
    assert severity(line(*devices), "data-nodes") is expected


@pytest.mark.parametrize("points", [(), ("A",), ("A", "B"), ("A", "A"), ("A", "B", "C")])
def test_terminators_belong_at_both_ends_and_nowhere_else(points: tuple[str, ...]) -> None:
    assert severity(line(terminator_points=points), "data-terminators") is Severity.STOP


def test_no_supply_stops_and_two_ask_for_attention() -> None:
    two = tuple(DataSupply(supply_id=p, point=p, voltage_v=12.0) for p in ("A", "C"))
    assert severity(line(supplies=()), "data-supply") is Severity.STOP
    assert severity(line(supplies=two), "data-supply") is Severity.ATTENTION


def test_shield_not_known_is_cannot_tell_and_twice_is_attention() -> None:
    assert severity(line(shield_grounds=None), "data-shield") is Severity.CANNOT_TELL
    assert severity(line(shield_grounds=2), "data-shield") is Severity.ATTENTION


@pytest.mark.parametrize(("units", "expected"), [(20, Severity.PASS), (21, Severity.STOP)])
def test_one_device_takes_at_most_1_a(units: int, expected: Severity) -> None:
    assert severity(line(device("a", "B", units)), "data-device-current") is expected


@pytest.mark.parametrize(("count", "expected"), [(3, Severity.PASS), (4, Severity.STOP)])
def test_light_cable_carries_at_most_3_a(count: int, expected: Severity) -> None:
    short = (segment("A", "B", 0.5), segment("B", "C", 0.5))
    devices = [device(f"d{k}", "C", 20) for k in range(count)]
    assert severity(line(*devices, segments=short), "data-current") is expected


@pytest.mark.parametrize(("units", "expected"), [(13, Severity.PASS), (14, Severity.STOP)])
def test_drop_is_at_most_1_5_v(units: int, expected: Severity) -> None:
    found = findings(line(device("far", "C", units)), "data-voltage")
    assert [f.severity for f in found] == [expected]
    assert found[0].value == pytest.approx(0.1 * units * 20 * 0.057, abs=1e-4)


def test_unknown_load_keeps_the_voltage_from_being_told() -> None:
    found = findings(line(device("log", "C", None)), "data-voltage")
    assert found[0].severity is Severity.CANNOT_TELL
    assert found[0].missing == ("load units of log",)


def test_unknown_load_leaves_nothing_it_flows_through_a_pass() -> None:
    backbone = line(device("log", "B", None), device("far", "C", 2))
    carries = findings(backbone, "data-current")
    assert [f.severity for f in carries] == [Severity.CANNOT_TELL, Severity.PASS]
    assert carries[0].missing == ("load units of log",)
    gets = findings(backbone, "data-window")
    assert {f.severity for f in gets} == {Severity.CANNOT_TELL}
    assert gets[1].message == "far gets 11.8 V, within 9 V to 16 V, without log."


def test_what_is_too_much_without_the_unknown_load_stays_a_stop() -> None:
    devices = [device(f"d{k}", "C", 20) for k in range(4)]
    short = (segment("A", "B", 0.5), segment("B", "C", 0.5))
    found = findings(line(*devices, device("log", "C", None), segments=short), "data-current")
    assert {f.severity for f in found} == {Severity.STOP}


def test_supply_of_unknown_voltage_tells_drops_but_no_voltages() -> None:
    unknown = (DataSupply(supply_id="feed", point="A", voltage_v=None),)
    backbone = line(device("far", "C", 10), supplies=unknown)
    assert severity(backbone, "data-voltage") is Severity.PASS
    found = findings(backbone, "data-window")
    assert [f.severity for f in found] == [Severity.CANNOT_TELL]
    assert found[0].message == (
        "The voltage of supply feed is not known, nor so the voltage at each device."
    )
    assert found[0].missing == ("voltage of supply feed",)


def test_two_supplies_one_of_unknown_voltage_leave_currents_and_drops_untold() -> None:
    two = tuple(
        DataSupply(supply_id=p, point=p, voltage_v=v) for p, v in (("A", 12.0), ("C", None))
    )
    backbone = line(device("mid", "B", 10), supplies=two)
    for rule_id in ("data-current", "data-voltage", "data-window"):
        assert [f.severity for f in findings(backbone, rule_id)] == [Severity.CANNOT_TELL]


def test_a_piece_no_supply_reaches_is_a_stop_and_the_rest_is_still_told() -> None:
    apart = (segment("A", "B", 10.0), segment("C", "D", 10.0))
    backbone = line(device("near", "B", 4), device("lost", "D", 4), segments=apart)
    found = findings(backbone, "data-voltage")
    assert [f.severity for f in found] == [Severity.STOP, Severity.PASS]
    assert found[0].message == "No supply reaches lost."
    assert [f.subject.id for f in findings(backbone, "data-window")] == ["near"]


@pytest.mark.parametrize(
    ("changes", "rule_id", "message"),
    [
        (
            {"segments": (segment("A", "B", 50.0), segment("B", "C", 50.04))},
            "data-length",
            "The backbone is 100.04 m, more than 100 m.",
        ),
        (
            {"supplies": (DataSupply(supply_id="feed", point="A", voltage_v=8.99),)},
            "data-window",
            "idle gets 8.99 V, outside 9 V to 16 V.",
        ),
        (
            {"supplies": (DataSupply(supply_id="feed", point="A", voltage_v=16.01),)},
            "data-window",
            "idle gets 16.01 V, outside 9 V to 16 V.",
        ),
    ],
)
def test_what_is_just_outside_is_told_from_its_limit(
    changes: dict[str, Any], rule_id: str, message: str
) -> None:
    assert findings(line(device("idle", "C", 0), **changes), rule_id)[0].message == message


def test_low_supply_leaves_a_device_outside_its_window() -> None:
    low = (DataSupply(supply_id="feed", point="A", voltage_v=9.2),)
    found = findings(line(device("far", "C", 10), supplies=low), "data-window")
    assert found[0].severity is Severity.STOP
    assert found[0].message == "far gets 8.1 V, outside 9 V to 16 V."


def test_more_than_can_be_carried_is_a_stop_with_the_reason() -> None:
    long = (segment("A", "B", 100.0), segment("B", "C", 100.0))
    devices = [device(f"d{k}", "C", 20) for k in range(4)]
    found = findings(line(*devices, segments=long), "data-voltage")
    assert found[0].severity is Severity.STOP
    assert "collapses" in found[0].message
