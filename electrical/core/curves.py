"""Time-current bands of protective devices: as printed in a standard, or told by a maker."""

from dataclasses import dataclass
from math import exp, log

from electrical.core.errors import BadInput
from electrical.core.status import Clause

__all__ = ["Curve", "OperatingTime", "TimePoint", "multiples_at", "operating_time"]


@dataclass(frozen=True, kw_only=True)
class TimePoint:
    """One printed row.

    Parameters
    ----------
    multiple : float
        Current over rating [-].
    t_min_s, t_max_s : float or None
        Shortest and longest operating time [s]; no longest time = need not open.
    """

    multiple: float
    t_min_s: float
    t_max_s: float | None


@dataclass(frozen=True, kw_only=True, eq=False)
class Curve:
    """A band of operating times; compared and kept by identity, so make each only once.

    Parameters
    ----------
    points : tuple of TimePoint
        At least two, by ascending multiple from 1 up, times never rising.
    clause : Clause
        Source and status.
    melts : bool
        A fuse-link: beyond the last row its energy stays, not its time.

    Raises
    ------
    BadInput
        If the points are fewer than two or out of order, or a time is not above 0.
    """

    points: tuple[TimePoint, ...]
    clause: Clause
    melts: bool = True

    def __post_init__(self) -> None:
        if len(self.points) < 2:
            raise BadInput("Time-current curve: needs at least two rows.")
        for low, high in zip(self.points, self.points[1:], strict=False):
            if not 1.0 <= low.multiple < high.multiple:
                raise BadInput("Time-current curve: multiples must rise, from 1 up.")
            if not 0.0 < high.t_min_s <= low.t_min_s:
                raise BadInput("Time-current curve: shortest times must be above 0, never rising.")
            if high.t_max_s is None and low.t_max_s is not None:
                raise BadInput("Time-current curve: opens at a current, but not at a larger one.")
            if None not in (low.t_max_s, high.t_max_s) and (high.t_max_s or 0) > (low.t_max_s or 0):
                raise BadInput("Time-current curve: longest times must never rise.")
        if any(p.t_max_s is not None and p.t_max_s < p.t_min_s for p in self.points):
            raise BadInput("Time-current curve: a longest time is under the shortest.")

    @property
    def last(self) -> TimePoint:
        """The row of the largest current."""
        return self.points[-1]


@dataclass(frozen=True, kw_only=True)
class OperatingTime:
    """Band in which a device opens.

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


def operating_time(
    curve: Curve | None, *, rating_a: float, current_a: float
) -> OperatingTime | None:
    """Return the band of operating times at a current, None when no curve is known.

    Parameters
    ----------
    curve : Curve or None
        Of the device.
    rating_a : float
        Rating of the device [A], above 0.
    current_a : float
        Current through it [A], above 0.

    Returns
    -------
    OperatingTime or None
        Between printed rows the times are interpolated (straight on double
        logarithmic paper). Above the last row the last row's longest time holds,
        since a larger current never opens a device later, and the shortest time is 0.
        Below the first row it need not open.

    Notes
    -----
    ln t is linear in ln(I / I_n) between printed rows.
    """
    if curve is None:
        return None
    points, clause = curve.points, curve.clause
    multiple = current_a / rating_a
    if multiple <= points[0].multiple:
        return OperatingTime(t_min_s=points[0].t_min_s, t_max_s=None, clause=clause)
    if multiple >= points[-1].multiple:
        return OperatingTime(t_min_s=0.0, t_max_s=points[-1].t_max_s, clause=clause)
    return _interpolated(points, multiple, clause)


def _interpolated(points: tuple[TimePoint, ...], multiple: float, clause: Clause) -> OperatingTime:
    index = next(i for i, point in enumerate(points) if point.multiple >= multiple)
    low, high = points[index - 1], points[index]
    if multiple == high.multiple:
        return OperatingTime(t_min_s=high.t_min_s, t_max_s=high.t_max_s, clause=clause)
    t_min_s = _between(low, high, multiple, low.t_min_s, high.t_min_s)
    if low.t_max_s is None or high.t_max_s is None:
        return OperatingTime(t_min_s=min(t_min_s, high.t_min_s), t_max_s=None, clause=clause)
    t_max_s = _between(low, high, multiple, low.t_max_s, high.t_max_s)
    return OperatingTime(t_min_s=t_min_s, t_max_s=t_max_s, clause=clause)


def multiples_at(curve: Curve, time_s: float) -> tuple[float, ...]:
    """Return where the longest operating time passes a time between two printed rows.

    Parameters
    ----------
    curve : Curve
        Of the device.
    time_s : float
        Time [s], above 0.

    Returns
    -------
    tuple of float
        Currents over the rating [-]; empty where no two rows lie on either side of it.

    Notes
    -----
    The inverse of the interpolation in :func:`operating_time`.
    """
    found = []
    for low, high in zip(curve.points, curve.points[1:], strict=False):
        if low.t_max_s is None or high.t_max_s is None:
            continue
        if high.t_max_s < time_s < low.t_max_s:
            share = log(low.t_max_s / time_s) / log(low.t_max_s / high.t_max_s)
            found.append(low.multiple * (high.multiple / low.multiple) ** share)
    return tuple(found)


def _between(
    low: TimePoint, high: TimePoint, multiple: float, low_s: float, high_s: float
) -> float:
    """Interpolate on double logarithmic paper, as fuse curves are drawn."""
    share = log(multiple / low.multiple) / log(high.multiple / low.multiple)
    return exp(log(low_s) + share * (log(high_s) - log(low_s)))
