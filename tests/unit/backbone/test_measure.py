"""Lengths, currents and voltages of the data backbone."""

import pytest

from electrical.core.backbone import (
    Backbone,
    DataCable,
    Segment,
    formula_drop_v,
    load_units,
    measure,
)
from electrical.core.errors import BadInput
from electrical.core.tables.data_backbone import Grade
from tests.unit.backbone.lines import MID, device, line, segment


def test_current_of_each_segment_is_what_lies_beyond_it() -> None:
    measures = measure(line(device("near", "B", 4), device("far", "C", 6)))
    assert [s.current_a for s in measures.segments] == pytest.approx([0.5, 0.3])


def test_drop_is_counted_over_both_conductors_segment_by_segment() -> None:
    measures = measure(line(device("near", "B", 4), device("far", "C", 6)))
    ohm = 0.57
    assert measures.segments[0].drop_v == pytest.approx(2 * ohm * 0.5)
    assert measures.worst_drop_v == pytest.approx(2 * ohm * 0.5 + 2 * ohm * 0.3, abs=1e-5)


def test_closed_formula_equals_the_solve_when_everything_is_at_the_far_end() -> None:
    measures = measure(line(device("far", "C", 10)))
    assert measures.formula_drop_v == pytest.approx(1.14)
    assert measures.worst_drop_v == pytest.approx(measures.formula_drop_v, abs=1e-5)


def test_closed_formula_is_never_below_the_solve_with_one_supply() -> None:
    measures = measure(line(device("a", "A", 3), device("b", "B", 5), device("c", "C", 2)))
    assert measures.formula_drop_v is not None
    assert measures.worst_drop_v is not None
    assert measures.worst_drop_v < measures.formula_drop_v


def test_closed_formula_takes_the_thinnest_cable_drops_included() -> None:
    heavy = (segment("A", "B", 1.0, MID), segment("B", "C", 1.0, MID))
    measures = measure(line(device("far", "C", 10, 6.0), segments=heavy))
    assert measures.formula_drop_v == pytest.approx(0.1 * 10 * 8.0 * 0.057)
    assert measures.worst_drop_v is not None and measures.formula_drop_v is not None
    assert measures.worst_drop_v < measures.formula_drop_v


def test_feeding_at_the_middle_lowers_the_drop() -> None:
    devices = (device("a", "A", 8), device("c", "C", 8))
    end, middle = measure(line(*devices)), measure(line(*devices, supply_at="B"))
    assert end.worst_drop_v == pytest.approx(2 * middle.worst_drop_v, abs=1e-4)  # type: ignore[operator]


def test_drop_cable_counts_for_its_own_device_only() -> None:
    measures = measure(line(device("a", "B", 4, 6.0), device("b", "B", 4)))
    first, second = measures.devices
    assert first.distance_m == pytest.approx(16.0)
    assert first.drop_v - second.drop_v == pytest.approx(  # type: ignore[operator]
        2 * 0.057 * 6.0 * 0.2, abs=1e-5
    )


@pytest.mark.parametrize(
    ("segments", "fault"),
    [
        ((), "it has no cable"),
        (
            (segment("A", "B", 1), segment("B", "C", 1), segment("B", "D", 1)),
            "it forks at B",
        ),
        ((segment("A", "B", 1), segment("B", "C", 1), segment("C", "A", 1)), "it is a ring"),
        (
            (
                segment("A", "B", 1),
                segment("C", "D", 1),
                segment("D", "E", 1),
                segment("E", "C", 1),
            ),
            "it is in several pieces",
        ),
    ],
)
def test_shapes_other_than_one_line_are_named(segments: tuple[Segment, ...], fault: str) -> None:
    bare = Backbone(label="x", segments=segments)
    assert measure(bare).shape_fault == fault


@pytest.mark.parametrize(
    ("current_ma", "units"), [(0.0, 0), (50.0, 1), (51.0, 2), (151.0, 4), (1000.0, 20)]
)
def test_load_units_round_up(current_ma: float, units: int) -> None:
    assert load_units(current_ma) == units


def test_formula_is_twice_fifty_milliamps_per_unit() -> None:
    assert formula_drop_v(load_units=1, length_m=100.0, ohm_per_100m=1.0) == pytest.approx(0.1)


def test_light_cable_ten_times_too_good_is_refused() -> None:
    with pytest.raises(BadInput) as caught:
        DataCable(grade=Grade.LIGHT, ohm_per_100m=0.57)
    assert str(caught.value) == (
        "Data cable: 0.57 Ω per 100 m is impossible for light cable (22 AWG copper); 1 Ω at least."
    )


def test_device_off_the_backbone_is_refused() -> None:
    with pytest.raises(BadInput, match=r"^sounder: Z is not on the backbone\.$"):
        line(device("sounder", "Z"))
