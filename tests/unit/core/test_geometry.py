"""Lengths of runs along cableways."""

import pytest

from electrical.core.errors import BadInput
from electrical.core.geometry import (
    END_SLACK_M,
    SLACK_SHARE,
    Cableways,
    NoWay,
    Point,
    Segment,
    Way,
)

NODES = {
    "aft": Point(x_m=0.0, y_m=0.0),
    "mid": Point(x_m=5.0, y_m=0.0),
    "fore": Point(x_m=8.0, y_m=0.0),
    "roof": Point(x_m=5.0, y_m=0.0, z_m=2.0),
    "alone": Point(x_m=5.0, y_m=9.0),
    "far": Point(x_m=8.0, y_m=9.0),
}
SEGMENTS = (
    Segment(id="W1", start_id="aft", end_id="mid", zone_ids=("EW", "HB")),
    Segment(id="W2", start_id="mid", end_id="fore", zone_ids=("HB", "FD")),
    Segment(id="W4", start_id="mid", end_id="roof", length_m=2.5, zone_ids=("RF",)),
)


def ways(*more: Segment) -> Cableways:
    return Cableways(nodes=NODES, segments=(*SEGMENTS, *more))


def found(start: Point, end: Point, cableways: Cableways | None = None) -> Way:
    way = (cableways or ways()).way(start, end)
    assert isinstance(way, Way)
    return way


def with_slack_m(way_m: float) -> float:
    return way_m * (1 + SLACK_SHARE) + 2 * END_SLACK_M


def test_a_run_follows_cableways_with_square_tails() -> None:
    way = found(Point(x_m=1.0, y_m=0.5, z_m=0.3), Point(x_m=7.0, y_m=-0.4))
    assert way.first_tail_m == pytest.approx(0.8)
    assert way.along_m == pytest.approx(6.0)
    assert way.last_tail_m == pytest.approx(0.4)
    assert way.length_m == pytest.approx(with_slack_m(7.2))
    assert way.segment_ids == ("W1", "W2")
    assert way.zone_ids == ("EW", "HB", "FD")


def test_a_measured_segment_counts_with_its_length() -> None:
    way = found(Point(x_m=4.0, y_m=0.1), Point(x_m=5.0, y_m=0.0, z_m=2.0))
    assert way.along_m == pytest.approx(1.0 + 2.5)
    assert way.segment_ids == ("W1", "W4")


def test_both_ends_on_one_segment_go_straight() -> None:
    way = found(Point(x_m=1.0, y_m=1.0), Point(x_m=4.0, y_m=-1.0))
    assert way.along_m == pytest.approx(3.0)
    assert way.segment_ids == ("W1",)
    assert way.node_ids == ()


def test_a_short_cut_is_taken() -> None:
    shortcut = Segment(id="W9", start_id="aft", end_id="fore", length_m=5.0)
    way = found(Point(x_m=0.0, y_m=0.0), Point(x_m=8.0, y_m=0.0), ways(shortcut))
    assert way.along_m == pytest.approx(5.0)
    assert way.segment_ids == ("W9",)


def test_neighbours_are_joined_without_a_cableway() -> None:
    way = found(Point(x_m=2.0, y_m=3.0), Point(x_m=2.5, y_m=3.0))
    assert way.segment_ids == ()
    assert way.length_m == pytest.approx(with_slack_m(0.5))


def test_the_same_way_back_is_as_long() -> None:
    start, end = Point(x_m=1.0, y_m=0.5), Point(x_m=5.0, y_m=0.2, z_m=1.0)
    there, back = found(start, end), found(end, start)
    assert there.length_m == pytest.approx(back.length_m)
    assert there.segment_ids == tuple(reversed(back.segment_ids))


def test_cableways_that_do_not_meet_give_no_way() -> None:
    island = Segment(id="W7", start_id="alone", end_id="far")
    way = ways(island).way(Point(x_m=0.0, y_m=0.0), Point(x_m=6.0, y_m=9.0))
    assert way == NoWay(
        reason=(
            "Segment W1, nearest to the start, and segment W7, nearest to the end, are not "
            "joined by cableways."
        )
    )


def test_a_vessel_without_cableways_gives_no_way() -> None:
    way = Cableways(nodes={}, segments=()).way(Point(x_m=0, y_m=0), Point(x_m=1, y_m=0))
    assert way == NoWay(reason="The vessel has no cableway.")


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Point(x_m=float("nan"), y_m=0.0), "Place: x of nan m; -1000 to 1000 m allowed."),
        (
            lambda: Segment(id="W", start_id="a", end_id="a"),
            "Segment W: it starts and ends at the same node.",
        ),
        (
            lambda: Segment(id="W", start_id="a", end_id="b", length_m=0.0),
            "Segment W: length: 0 m must be above 0 m.",
        ),
        (
            lambda: ways(Segment(id="W8", start_id="aft", end_id="gone")),
            "Segment W8: there is no node gone.",
        ),
        (
            lambda: ways(Segment(id="W1", start_id="aft", end_id="mid")),
            "Segment W1: the identifier is there twice.",
        ),
    ],
)
def test_impossible_plans_are_named(make: object, message: str) -> None:
    assert callable(make)
    with pytest.raises(BadInput) as error:
        make()
    assert str(error.value) == message
