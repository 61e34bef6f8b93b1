"""What holds for every line of data cable: current is conserved, more is never better."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from electrical.core.backbone import Backbone, DataCable, DataSupply, measure
from electrical.core.findings import Severity
from electrical.core.rules.data_backbone import check_backbone
from electrical.core.tables.data_backbone import GRADES, LOAD_UNIT_A, Grade
from tests.unit.backbone.lines import device, segment

CABLES = st.builds(DataCable, grade=st.sampled_from(Grade))


@st.composite
def lines(draw: st.DrawFn, *, unknown: bool = False) -> Backbone:
    count = draw(st.integers(2, 50))
    units = st.integers(0, 20) | st.none() if unknown else st.integers(0, 4)
    points = [f"T{at}" for at in range(count)]
    segments = tuple(
        segment(one, other, draw(st.floats(0.0, 10.0)), draw(CABLES))
        for one, other in pairwise(points)
    )
    devices = tuple(
        device(f"D{at}", point, draw(units), draw(st.floats(0.0, 6.0)))
        for at, point in enumerate(points)
    )
    return Backbone(
        label="Backbone",
        segments=segments,
        devices=devices,
        supplies=(DataSupply(supply_id="F", point=draw(st.sampled_from(points)), voltage_v=12.0),),
        terminator_points=(points[0], points[-1]),
        shield_grounds=1,
    )


@settings(deadline=None, max_examples=25)
@given(lines())
def test_each_segment_carries_what_hangs_beyond_it_and_the_drop_adds_up(backbone: Backbone) -> None:
    found = measure(backbone)
    fed = int(backbone.supplies[0].point[1:])
    if found.collapse is not None:
        assert check_backbone(backbone)[1]
        return
    amps = [one.current_a for one in backbone.devices]
    for at, part in enumerate(found.segments):
        beyond = amps[at + 1 :] if at >= fed else amps[: at + 1]
        assert part.current_a == pytest.approx(sum(beyond), abs=1e-6)
    for at, one in enumerate(found.devices):
        between = found.segments[fed:at] if at >= fed else found.segments[at:fed]
        ohm = one.device.cable.resistance_ohm_per_m * one.device.drop_length_m
        lost_v = sum(part.drop_v or 0.0 for part in between) + 2.0 * ohm * one.device.current_a
        # Joints of a microhm, each twice, are all that is added.
        assert one.drop_v == pytest.approx(lost_v, abs=110 * 1e-6 * 10.0)
    assert found.worst_drop_v is not None and found.formula_drop_v is not None
    assert found.worst_drop_v <= found.formula_drop_v + 2e-3


@settings(deadline=None, max_examples=25)
@given(lines(), st.integers(0, 49), st.floats(1.0, 2.0))
def test_more_load_or_longer_cable_never_loses_less(
    backbone: Backbone, which: int, longer: float
) -> None:
    before = measure(backbone)
    at = which % len(backbone.devices)
    devices = list(backbone.devices)
    devices[at] = replace(devices[at], load_units=(devices[at].load_units or 0) + 5)
    stretched = tuple(replace(s, length_m=s.length_m * longer) for s in backbone.segments)
    loaded = replace(backbone, devices=tuple(devices))
    for worse in (loaded, replace(backbone, segments=stretched)):
        after = measure(worse)
        if before.collapse is not None:
            assert after.collapse is not None
        elif after.collapse is None:
            assert before.worst_drop_v is not None and after.worst_drop_v is not None
            assert after.worst_drop_v >= before.worst_drop_v - 1e-6


@settings(deadline=None, max_examples=25)
@given(lines(unknown=True))
def test_what_is_told_without_a_load_never_passes_what_would_stop_with_it(
    backbone: Backbone,
) -> None:
    """An unknown load that turns out to be the largest there is."""
    told = {(f.rule_id, f.subject.id): f.severity for f in check_backbone(backbone)[1]}
    worst = tuple(
        one if one.load_units is not None else replace(one, load_units=int(1.0 / LOAD_UNIT_A))
        for one in backbone.devices
    )
    for found in check_backbone(replace(backbone, devices=worst))[1]:
        if found.severity is Severity.STOP:
            assert told.get((found.rule_id, found.subject.id)) is not Severity.PASS


@given(st.sampled_from(Grade), st.floats(0.001, 10.0))
def test_cable_better_than_copper_is_refused(grade: Grade, ohm_per_100m: float) -> None:
    if ohm_per_100m >= GRADES[grade].least_ohm_per_100m:
        assert DataCable(grade=grade, ohm_per_100m=ohm_per_100m).resistance_ohm_per_m > 0.0
    else:
        with pytest.raises(ValueError, match="impossible for"):
            DataCable(grade=grade, ohm_per_100m=ohm_per_100m)
