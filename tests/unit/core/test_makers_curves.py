"""A maker's time-current curve prevails; what cannot be a curve is refused."""

from math import log

import pytest

from electrical.core.curves import Curve, TimePoint, multiples_at, operating_time
from electrical.core.errors import BadInput
from electrical.core.parts import DeviceType, Protection
from electrical.core.protection import BREAKER_FAULT_S, LetThrough, let_through, selectivity
from electrical.core.status import Clause, SourceStatus
from electrical.core.tables.time_current import BANDS, curve_of

CLAUSE = Clause(source="maker's data", clause="sheet 4", status=SourceStatus.SECOND_HAND)


def curve(*rows: tuple[float, float, float | None], melts: bool = True) -> Curve:
    points = tuple(
        TimePoint(multiple=multiple, t_min_s=low_s, t_max_s=high_s)
        for multiple, low_s, high_s in rows
    )
    return Curve(points=points, clause=CLAUSE, melts=melts)


SLOW = curve((1.1, 3600, None), (2.0, 10, 60), (5.0, 0.4, 2), (10.0, 0.05, 0.2))
BREAKER = curve((1.05, 3600, None), (2.0, 8, 40), (8.0, 0.01, 0.03), melts=False)


def test_the_makers_curve_prevails_over_the_limits_of_the_kind() -> None:
    told = Protection(rating_a=10.0, device=DeviceType.BLADE, curve=SLOW)
    assert curve_of(told) is SLOW
    assert curve_of(Protection(rating_a=10.0, device=DeviceType.BLADE)) is BANDS[DeviceType.BLADE]


def test_times_between_two_rows_lie_on_a_straight_line_of_double_log_paper() -> None:
    found = operating_time(SLOW, rating_a=10.0, current_a=10.0 * (2.0 * 5.0) ** 0.5)
    assert found is not None
    assert found.t_min_s == pytest.approx((10 * 0.4) ** 0.5)
    assert found.t_max_s == pytest.approx((60 * 2) ** 0.5)
    assert found.clause is CLAUSE


def test_a_breaker_with_a_curve_lets_through_its_longest_time_at_the_fault_itself() -> None:
    known = Protection(rating_a=20.0, device=DeviceType.PANEL_BREAKER, curve=BREAKER)
    unknown = Protection(rating_a=20.0, device=DeviceType.PANEL_BREAKER)
    told, assumed = let_through(known, fault_a=1000.0), let_through(unknown, fault_a=1000.0)
    assert told is not None
    assert assumed is not None
    assert told.i2t_a2s == pytest.approx(1000.0**2 * 0.03)
    assert assumed.i2t_a2s == pytest.approx(1000.0**2 * BREAKER_FAULT_S)
    assert (told.status, assumed.status) == (SourceStatus.MEMORY, SourceStatus.PRACTICE)


def test_a_fuse_link_needs_no_more_energy_beyond_its_last_row() -> None:
    fuse = Protection(rating_a=20.0, device=DeviceType.CLASS_T, curve=SLOW)
    at_last, beyond = let_through(fuse, fault_a=200.0), let_through(fuse, fault_a=5000.0)
    assert at_last is not None
    assert beyond is not None
    assert at_last.i2t_a2s == beyond.i2t_a2s == pytest.approx(200.0**2 * 0.2)


def test_a_slow_device_may_let_more_through_at_a_small_fault() -> None:
    """At the end of a long run 5 s at some 28 A let more through than 10 ms at 300 A."""
    slow = curve((2.0, 1.0, 50.0), (4.0, 0.1, 0.5), (30.0, 0.001, 0.01), melts=False)
    device = Protection(rating_a=10.0, device=DeviceType.PANEL_BREAKER, curve=slow)

    def worst(least_a: float | None) -> LetThrough:
        found = let_through(device, fault_a=300.0, least_a=least_a)
        assert found is not None
        return found

    assert worst(None).i2t_a2s == pytest.approx(300.0**2 * 0.01)
    assert worst(40.0).i2t_a2s == pytest.approx(max(300.0**2 * 0.01, 40.0**2 * 0.5))
    at_five_s = 20.0 * 2.0 ** (log(50 / 5) / log(50 / 0.5))
    assert worst(25.0).i2t_a2s == pytest.approx(at_five_s**2 * 5.0)
    assert (worst(25.0).current_a, worst(25.0).time_s) == pytest.approx((at_five_s, 5.0))
    assert multiples_at(slow, 100.0) == ()
    energies = [worst(least_a).i2t_a2s or 0.0 for least_a in range(20, 301, 10)]
    assert energies == sorted(energies, reverse=True)


def test_breaker_behind_a_slow_fuse_is_selective_and_the_other_way_round_is_not() -> None:
    near = Protection(rating_a=10.0, device=DeviceType.PANEL_BREAKER, curve=BREAKER)
    far = Protection(rating_a=100.0, device=DeviceType.CLASS_T, curve=SLOW)
    first, second = (
        selectivity(near, far, fault_a=900.0),
        selectivity(far, near, fault_a=900.0),
    )
    assert first is not None
    assert second is not None
    assert first.is_selective
    assert not second.is_selective
    assert first.clause is CLAUSE


def test_the_less_sure_of_two_curves_is_named() -> None:
    near = Protection(rating_a=5.0, device=DeviceType.BLADE)
    far = Protection(rating_a=100.0, device=DeviceType.CLASS_T, curve=SLOW)
    found = selectivity(near, far, fault_a=800.0)
    assert found is not None
    assert found.clause.status is SourceStatus.MEMORY


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([(1.1, 1, 2)], "at least two rows"),
        ([(0.9, 1, 2), (2.0, 0.5, 1)], "multiples must rise, from 1 up"),
        ([(2.0, 1, 2), (2.0, 0.5, 1)], "multiples must rise, from 1 up"),
        ([(1.1, 1, 2), (2.0, 3, 4)], "shortest times"),
        ([(1.1, 1, 2), (2.0, 0.0, 1)], "shortest times"),
        ([(1.1, 1, 2), (2.0, 0.5, 3)], "longest times must never rise"),
        ([(1.1, 1, 2), (2.0, 0.5, None)], "not at a larger one"),
        ([(1.1, 3, 2), (2.0, 0.5, 1)], "longest time is under the shortest"),
    ],
)
def test_what_can_not_be_a_curve_is_refused(
    rows: list[tuple[float, float, float | None]], words: str
) -> None:
    with pytest.raises(BadInput, match=words):
        curve(*rows)
