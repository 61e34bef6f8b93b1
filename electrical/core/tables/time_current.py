"""ISO 8820-3 and ISO 8820-5: operating-time limits of fuse-links, from memory.

Limits at 23 °C by multiple of the rating: no fuse of the kind may open sooner than
`t_min_s` or later than `t_max_s`. The strip fuse limits are of low confidence. A
device's own published curve always wins; no curve at all means "cannot tell".
"""

from dataclasses import dataclass
from math import exp, log

from electrical.core.parts import DeviceType
from electrical.core.status import Clause, SourceStatus


@dataclass(frozen=True, kw_only=True)
class TimePoint:
    """One printed row.

    Parameters
    ----------
    multiple : float
        Current over rating [-].
    t_min_s, t_max_s : float or None
        Shortest and longest operating time [s]; no longest time = must not open.
    """

    multiple: float
    t_min_s: float | None
    t_max_s: float | None


_BLADE_POINTS = (
    TimePoint(multiple=1.1, t_min_s=360000, t_max_s=None),
    TimePoint(multiple=1.35, t_min_s=0.75, t_max_s=600),
    TimePoint(multiple=1.6, t_min_s=0.25, t_max_s=50),
    TimePoint(multiple=2.0, t_min_s=0.15, t_max_s=5),
    TimePoint(multiple=3.5, t_min_s=0.04, t_max_s=0.5),
    TimePoint(multiple=6.0, t_min_s=0.02, t_max_s=0.1),
)
_MAXI_POINTS = (
    TimePoint(multiple=1.1, t_min_s=360000, t_max_s=None),
    TimePoint(multiple=1.35, t_min_s=60, t_max_s=1800),
    TimePoint(multiple=2.0, t_min_s=2, t_max_s=60),
    TimePoint(multiple=3.5, t_min_s=0.2, t_max_s=7),
    TimePoint(multiple=6.0, t_min_s=0.04, t_max_s=1),
)
_STRIP_POINTS = (
    TimePoint(multiple=1.0, t_min_s=14400, t_max_s=None),
    TimePoint(multiple=1.35, t_min_s=120, t_max_s=1800),
    TimePoint(multiple=2.0, t_min_s=1, t_max_s=15),
    TimePoint(multiple=3.5, t_min_s=0.3, t_max_s=5),
    TimePoint(multiple=6.0, t_min_s=0.1, t_max_s=1),
)

CLAUSE_BLADE = Clause(
    source="ISO 8820-3", clause="operating-time rating", status=SourceStatus.MEMORY
)
CLAUSE_STRIP = Clause(
    source="ISO 8820-5", clause="operating-time rating", status=SourceStatus.MEMORY
)

BANDS: dict[DeviceType, tuple[tuple[TimePoint, ...], Clause]] = {
    DeviceType.BLADE: (_BLADE_POINTS, CLAUSE_BLADE),
    DeviceType.MINI_BLADE: (_BLADE_POINTS, CLAUSE_BLADE),
    DeviceType.MAXI_BLADE: (_MAXI_POINTS, CLAUSE_BLADE),
    DeviceType.STRIP_M5: (_STRIP_POINTS, CLAUSE_STRIP),
    DeviceType.STRIP_M8: (_STRIP_POINTS, CLAUSE_STRIP),
}


@dataclass(frozen=True, kw_only=True)
class OperatingTime:
    """Band in which a fuse of a kind opens.

    Parameters
    ----------
    t_min_s : float
        Never sooner [s].
    t_max_s : float or None
        Never later [s]; None = need not open.
    clause : Clause
        Source and status.
    """

    t_min_s: float
    t_max_s: float | None
    clause: Clause


def _between(
    low: TimePoint, high: TimePoint, multiple: float, low_s: float, high_s: float
) -> float:
    """Interpolate on double logarithmic paper, as fuse curves are drawn."""
    share = log(multiple / low.multiple) / log(high.multiple / low.multiple)
    return exp(log(low_s) + share * (log(high_s) - log(low_s)))


def operating_time(
    device: DeviceType, *, rating_a: float, current_a: float
) -> OperatingTime | None:
    """Return the band of operating times at a current, None when no band is known.

    Parameters
    ----------
    device : DeviceType
        Generic kind.
    rating_a : float
        Rating of the fuse [A], above 0.
    current_a : float
        Current through it [A], above 0.

    Returns
    -------
    OperatingTime or None
        Between printed rows the times are interpolated (straight on double
        logarithmic paper). Above the last row the last row's longest time holds,
        since a larger current never opens a fuse later, and the shortest time is 0.
        Below the first row it need not open.

    Notes
    -----
    ln t is linear in ln(I / I_n) between printed rows.

    References
    ----------
    .. [1] ISO 8820-3, ISO 8820-5, operating-time rating (from memory).
    """
    if device not in BANDS:
        return None
    points, clause = BANDS[device]
    multiple = current_a / rating_a
    if multiple <= points[0].multiple:
        return OperatingTime(t_min_s=points[0].t_min_s or 0.0, t_max_s=None, clause=clause)
    if multiple >= points[-1].multiple:
        return OperatingTime(t_min_s=0.0, t_max_s=points[-1].t_max_s, clause=clause)
    return _interpolated(points, multiple, clause)


def _interpolated(points: tuple[TimePoint, ...], multiple: float, clause: Clause) -> OperatingTime:
    index = next(i for i, point in enumerate(points) if point.multiple >= multiple)
    low, high = points[index - 1], points[index]
    t_min_s = _between(low, high, multiple, low.t_min_s or 1e-3, high.t_min_s or 1e-3)
    if multiple == high.multiple:
        return OperatingTime(t_min_s=high.t_min_s or 0.0, t_max_s=high.t_max_s, clause=clause)
    if low.t_max_s is None or high.t_max_s is None:
        return OperatingTime(t_min_s=min(t_min_s, high.t_min_s or 0.0), t_max_s=None, clause=clause)
    t_max_s = _between(low, high, multiple, low.t_max_s, high.t_max_s)
    return OperatingTime(t_min_s=t_min_s, t_max_s=t_max_s, clause=clause)
