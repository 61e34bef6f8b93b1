"""Rules on protective devices: presence, rating, load, motors, place, both ends."""

from dataclasses import replace
from typing import Any

import pytest

from electrical.core.design import Circuit, CircuitRole, OperatingState, Route
from electrical.core.findings import RuleSet, Severity
from electrical.core.parts import Cable, DeviceType, Protection
from electrical.core.sizes import awg, mm2
from electrical.core.sources import SourceKind
from tests.unit.core.designs import battery, board, branch, design, feeder, lamp
from tests.unit.core.verdicts import check, checks, severity


def fuse(rating_a: float, **changes: Any) -> Protection:
    base = Protection(
        rating_a=rating_a, device=DeviceType.BLADE, breaking_capacity_a=3000.0, rated_v=32.0
    )
    return replace(base, **changes)


def test_a_run_without_a_device_stops_and_offers_one() -> None:
    found = check(design(feeder(), branch(protection=None)), "protected", "C1")
    assert found.severity is Severity.STOP
    assert found.message == "C1 has no protective device."
    assert [remedy.label for remedy in found.remedies] == ["Fit 7.5 A"]


def test_a_device_ahead_may_protect_a_thick_enough_run() -> None:
    first = feeder(protection=fuse(25.0, distance_m=0.1))
    found = check(design(first, branch(protection=None)), "protected", "C1")
    assert found.severity is Severity.PASS
    assert found.message == "C1 is protected by the 25 A ahead of it."
    larger = feeder(protection=fuse(30.0, distance_m=0.1))
    assert severity(design(larger, branch(protection=None)), "protected", "C1") is Severity.STOP


def test_cranking_conductors_are_excepted() -> None:
    crank = branch(from_id="house", role=CircuitRole.STARTING, protection=None)
    assert severity(design(crank), "protected", "C1") is Severity.NOTE


@pytest.mark.parametrize(
    ("rating_a", "expected", "words"),
    [
        (25.0, Severity.PASS, "within the 25.0 A"),
        (30.0, Severity.ATTENTION, "33 CFR 183.455(c) up to 150 % below 50 V."),
        (40.0, Severity.STOP, "more than one and a half times the 25.0 A"),
    ],
)
def test_the_rating_is_held_against_the_ampacity(
    rating_a: float, expected: Severity, words: str
) -> None:
    found = check(design(feeder(), branch(protection=fuse(rating_a))), "rating", "C1")
    assert found.severity is expected
    assert words in found.message
    if expected is not Severity.PASS:
        assert found.remedies[0].label == "Fit 7.5 A"


def test_the_us_allowance_is_named_under_the_us_rules() -> None:
    run = branch(cable=Cable(size=awg("14"), insulation_c=105), protection=fuse(40.0))
    found = check(design(feeder(), run, rule_set=RuleSet.US), "rating", "C1")
    assert found.severity is Severity.ATTENTION
    assert found.message.endswith("33 CFR 183.455(c) allows up to 150 % below 50 V.")


@pytest.mark.parametrize(
    ("rating_a", "continuous", "expected"),
    [
        (4.0, True, Severity.STOP),
        (5.0, True, Severity.ATTENTION),
        (5.0, False, Severity.PASS),
        (7.5, True, Severity.PASS),
    ],
)
def test_the_load_fits_the_device(rating_a: float, continuous: bool, expected: Severity) -> None:
    run = branch(protection=fuse(rating_a), loads=(lamp(continuous=continuous),))
    assert severity(design(feeder(), run), "load-on-device", "C1") is expected


def motor(**changes: Any) -> Circuit:
    pump = lamp(
        id="P", label="Pump", current_a=5.0, continuous=False, is_motor=True, start_current_a=25.0
    )
    return branch(loads=(replace(pump, **changes),))


@pytest.mark.parametrize(
    ("start_s", "expected"), [(0.2, Severity.CANNOT_TELL), (60.0, Severity.ATTENTION)]
)
def test_a_long_peak_above_the_rating_needs_attention_without_a_curve_too(
    start_s: float, expected: Severity
) -> None:
    """A radio that sends: 6 A for a minute behind a breaker of 5 A."""
    radio = lamp(current_a=0.5, continuous=False, start_current_a=6.0, start_s=start_s)
    breaker = fuse(5.0, device=DeviceType.PANEL_BREAKER)
    found = check(design(feeder(), branch(loads=(radio,), protection=breaker)), "motor-start", "C1")
    assert found.severity is expected
    if expected is Severity.ATTENTION:
        assert found.message == (
            "C1 draws 6 A for 60 s at its peak, more than its 5 A device is made to carry for so "
            "long."
        )
        assert [remedy.label for remedy in found.remedies] == ["Fit 10 A"]


def test_a_fuse_that_may_open_during_a_start_needs_attention() -> None:
    """2.5 times 10 A, by hand: 0.15 · (0.04 / 0.15)^(ln 1.25 / ln 1.75) = 0.0886 s."""
    found = check(design(feeder(), motor()), "motor-start", "C1")
    assert found.severity is Severity.ATTENTION
    assert found.message == (
        "C1 draws 25 A for 0.2 s at a start; its 10 A device may open before 0.089 s."
    )
    larger = replace(motor(), protection=fuse(15.0))
    assert severity(design(feeder(), larger), "motor-start", "C1") is Severity.PASS


def test_an_unknown_start_is_not_guessed() -> None:
    found = check(design(feeder(), motor(start_current_a=None)), "motor-start", "C1")
    assert found.severity is Severity.CANNOT_TELL
    assert found.missing == ("starting current of Pump",)


def test_an_unknown_curve_is_not_guessed() -> None:
    run = replace(motor(), protection=fuse(10.0, device=DeviceType.PANEL_BREAKER))
    found = check(design(feeder(), run), "motor-start", "C1")
    assert found.missing == ("time-current curve of the device",)


def test_a_start_within_the_rating_passes_whatever_the_device() -> None:
    run = replace(motor(), protection=fuse(25.0, device=DeviceType.OTHER))
    assert severity(design(feeder(), run), "motor-start", "C1") is Severity.PASS


def test_a_device_that_need_not_open_on_a_locked_rotor_needs_attention() -> None:
    run = replace(motor(start_current_a=12.0), protection=fuse(10.0))
    found = check(design(feeder(), run), "locked-rotor", "C1")
    assert found.severity is Severity.ATTENTION
    assert found.message == (
        "Pump draws 12 A with its rotor locked; the 10 A device need not open at that current."
    )
    assert severity(design(feeder(), motor()), "locked-rotor", "C1") is Severity.PASS


@pytest.mark.parametrize(
    ("sheathed", "distance_m", "expected"),
    [
        (False, 0.20, Severity.PASS),
        (False, 0.21, Severity.STOP),
        (True, 1.80, Severity.PASS),
        (True, 1.81, Severity.STOP),
    ],
)
def test_iso_distances_from_a_battery(
    sheathed: bool, distance_m: float, expected: Severity
) -> None:
    lead = feeder(
        cable=Cable(size=mm2(35), sheathed=sheathed), protection=fuse(100, distance_m=distance_m)
    )
    assert severity(design(lead, branch()), "placement", "F1") is expected


def test_an_unknown_distance_from_a_battery_is_not_guessed() -> None:
    lead = feeder(protection=fuse(100.0))
    found = check(design(lead, branch()), "placement", "F1")
    assert found.missing == ("distance of the device from its source",)


def test_a_device_on_its_board_needs_no_distance() -> None:
    assert checks(design(), "placement", "C1") == []


def charging(**changes: Any) -> Circuit:
    base = Circuit(
        id="CH",
        label="Charger lead",
        from_id="charger",
        to_id="house",
        role=CircuitRole.CHARGING,
        nominal_v=12.0,
        cable=Cable(size=mm2(10)),
        route=Route(length_m=2.0),
    )
    return replace(base, **changes)


def charger_design(lead: Circuit) -> Any:
    charger = battery(
        id="charger",
        label="Charger",
        kind=SourceKind.CHARGER,
        max_output_a=30.0,
        limits_itself=True,
    )
    return design(
        lead,
        sources=(battery(), charger),
        states=(OperatingState(id="shore", label="shore", charging=True),),
    )


def test_a_charging_run_needs_its_device_at_the_battery() -> None:
    bare = charger_design(charging())
    assert severity(bare, "protected", "CH") is Severity.PASS
    found = check(bare, "both-ends", "CH")
    assert found.severity is Severity.STOP
    assert found.message == (
        "Charger lead can be fed by House battery from its far end and has no device there."
    )
    fitted = charger_design(charging(protection_at_end=fuse(40.0)))
    assert severity(fitted, "both-ends", "CH") is Severity.PASS


def test_the_device_at_the_far_end_is_judged_like_the_one_at_the_start() -> None:
    """70 A may flow in 10 mm²; the battery gives 3200 A at its terminals, the charger 30 A more."""

    def found(rule_id: str, rating_a: float, **changes: Any) -> Any:
        lead = charging(protection_at_end=fuse(rating_a, **changes))
        return check(charger_design(lead), rule_id, "CH")

    assert found("rating", 70.0).severity is Severity.PASS
    assert found("rating", 100.0).severity is Severity.ATTENTION
    assert found("rating", 110.0).severity is Severity.STOP
    assert found("load-on-device", 35.0).severity is Severity.ATTENTION
    assert found("load-on-device", 40.0).severity is Severity.PASS
    weak = found("breaking", 40.0, breaking_capacity_a=1000.0)
    assert weak.severity is Severity.STOP
    assert weak.message == (
        "The far device of Charger lead breaks 1000 A (marked); 3230 A can flow there."
    )
    far_off = found("placement", 40.0, distance_m=2.5)
    assert far_off.severity is Severity.STOP
    assert far_off.message == (
        "The far device of Charger lead is 2.50 m from House battery, in a sheath; "
        "1.80 m is the most."
    )
    assert found("rating", 110.0).remedies[0].change == {
        "circuit": "CH",
        "end_rating_a": 40.0,
    }


def test_a_charger_larger_than_its_run_is_no_protection() -> None:
    thin = charger_design(charging(cable=Cable(size=mm2(2.5))))
    assert severity(thin, "protected", "CH") is Severity.STOP


def test_two_batteries_on_one_board_feed_each_others_leads() -> None:
    second = battery(id="second", label="Second battery")
    other = feeder(id="F2", label="Second feeder", from_id="second")
    both = design(feeder(), other, branch(), sources=(battery(), second))
    found = check(both, "both-ends", "F1")
    assert found.severity is Severity.PASS
    assert found.message == "Feeder is protected from its far end by the 125 A of Second feeder."
    assert checks(design(), "both-ends", "F1") == []


@pytest.mark.parametrize("rating_a", [None, 200.0])
def test_a_lead_the_other_batterys_device_does_not_protect_needs_its_own(
    rating_a: float | None,
) -> None:
    device = None if rating_a is None else fuse(rating_a, distance_m=0.1)
    other = feeder(id="F2", label="Second feeder", from_id="second", protection=device)
    net = design(
        feeder(), other, branch(), sources=(battery(), battery(id="second", label="Second battery"))
    )
    found = check(net, "both-ends", "F1")
    assert found.severity is Severity.STOP
    assert found.message == (
        "Feeder can be fed by Second battery from its far end and has no device there."
    )


def test_a_board_behind_a_board_is_no_second_source() -> None:
    second = board(id="B2", label="Board 2")
    onward = feeder(id="F2", label="Onward", from_id="B1", to_id="B2")
    net = design(feeder(), onward, branch(from_id="B2"), boards=(board(), second))
    assert checks(net, "both-ends") == []
