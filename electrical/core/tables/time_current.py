"""ISO 8820-3 and ISO 8820-5: operating-time limits of fuse-links, from memory.

Limits at 23 °C by multiple of the rating: no fuse of the kind may open sooner than
`t_min_s` or later than `t_max_s`. The strip fuse limits are of low confidence. A
device's own published curve always wins; no curve at all means "cannot tell".
"""

from electrical.core.curves import Curve, TimePoint
from electrical.core.parts import DeviceType, Protection
from electrical.core.status import Clause, SourceStatus

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

_BLADE = Curve(points=_BLADE_POINTS, clause=CLAUSE_BLADE)
_STRIP = Curve(points=_STRIP_POINTS, clause=CLAUSE_STRIP)

BANDS: dict[DeviceType, Curve] = {
    DeviceType.BLADE: _BLADE,
    DeviceType.MINI_BLADE: _BLADE,
    DeviceType.MAXI_BLADE: Curve(points=_MAXI_POINTS, clause=CLAUSE_BLADE),
    DeviceType.STRIP_M5: _STRIP,
    DeviceType.STRIP_M8: _STRIP,
}


def curve_of(protection: Protection) -> Curve | None:
    """Return the curve of a device: its maker's, else the limits of its kind, else None.

    Parameters
    ----------
    protection : Protection
        The device.

    Returns
    -------
    Curve or None
        What is known of when it opens.

    References
    ----------
    .. [1] ISO 8820-3, ISO 8820-5, operating-time rating (from memory).
    """
    return protection.curve or BANDS.get(protection.device)
