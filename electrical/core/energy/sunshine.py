"""The formulas of sunshine, once for arrays of days and once for a single day without numpy."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from electrical.core.errors import BadInput

__all__ = [
    "GROUND_REFLECTION",
    "PLAIN",
    "PanelDay",
    "beam_gain",
    "day_on_panel_kwh_m2",
    "declination",
    "diffuse",
    "extraterrestrial",
    "hour_shapes",
    "slope_gain",
    "sunset",
]

SOLAR_MJ_M2_MIN = 0.0820
"""Solar constant of FAO-56 [MJ/m2/min]: 1367 W/m2."""
MJ_PER_KWH = 3.6
GROUND_REFLECTION = 0.10
"""Part of the light thrown back by open water; common practice, no source."""
HEADINGS = 12
MIDDLE_DAYS = (16, 46, 75, 106, 136, 167, 197, 228, 259, 289, 320, 350)
"""Day of the year in the middle of each month."""


class _Plain:
    """Names of numpy for single numbers."""

    pi = math.pi
    sin, cos, tan, arccos, radians = math.sin, math.cos, math.tan, math.acos, math.radians
    maximum, minimum = max, min

    @staticmethod
    def where(is_so: object, then: float, otherwise: float) -> float:
        return then if is_so else otherwise

    @staticmethod
    def clip(value: float, low: float, high: float) -> float:
        return min(max(value, low), high)


PLAIN = _Plain()


def declination(m: Any, day_of_year: Any) -> Any:
    """Return the sun's declination by the Fourier series of Spencer.

    Parameters
    ----------
    m : module
        ``numpy`` for arrays, `PLAIN` for one number.
    day_of_year : float or ndarray
        Day of the year [day], 1 to 366.

    Returns
    -------
    float or ndarray
        Declination [rad].
    """
    turn = 2.0 * m.pi * (day_of_year - 1.0) / 365.0
    once = -0.399912 * m.cos(turn) + 0.070257 * m.sin(turn)
    twice = -0.006758 * m.cos(2.0 * turn) + 0.000907 * m.sin(2.0 * turn)
    thrice = -0.002697 * m.cos(3.0 * turn) + 0.00148 * m.sin(3.0 * turn)
    return 0.006918 + once + twice + thrice


def sunset(m: Any, declination_rad: Any, latitude_deg: float) -> Any:
    """Return the hour angle of sunset.

    Parameters
    ----------
    m : module
        ``numpy`` for arrays, `PLAIN` for one number.
    declination_rad : float or ndarray
        Declination [rad].
    latitude_deg : float
        Latitude [deg], north positive.

    Returns
    -------
    float or ndarray
        Hour angle [rad], 0 in polar night to pi in midnight sun.

    Notes
    -----
    ``cos(ws) = -tan(lat) tan(dec)``, FAO-56 equation 25.
    """
    cosine = -m.tan(m.radians(latitude_deg)) * m.tan(declination_rad)
    return m.arccos(m.clip(cosine, -1.0, 1.0))


def extraterrestrial(m: Any, day_of_year: Any, latitude_deg: float) -> Any:
    """Return the day's irradiation on the flat above the air.

    Parameters
    ----------
    m : module
        ``numpy`` for arrays, `PLAIN` for one number.
    day_of_year : float or ndarray
        Day of the year [day], 1 to 366.
    latitude_deg : float
        Latitude [deg], north positive.

    Returns
    -------
    float or ndarray
        Irradiation [kWh/m2/day].

    Notes
    -----
    ``Ra = 24*60/pi Gsc dr (ws sin(lat) sin(dec) + cos(lat) cos(dec) sin(ws))``,
    FAO-56 equation 21.
    """
    year = 2.0 * m.pi * day_of_year / 365.0
    dec = 0.409 * m.sin(year - 1.39)
    setting, latitude = sunset(m, dec, latitude_deg), m.radians(latitude_deg)
    flat = setting * m.sin(latitude) * m.sin(dec)
    flat = flat + m.cos(latitude) * m.cos(dec) * m.sin(setting)
    nearness = 1.0 + 0.033 * m.cos(year)
    return 24.0 * 60.0 / m.pi * SOLAR_MJ_M2_MIN * nearness * flat / MJ_PER_KWH


def diffuse(m: Any, clearness: Any, sunset_rad: Any) -> Any:
    """Return the part of a day's irradiation from the whole sky, by Erbs, Klein and Duffie.

    Parameters
    ----------
    m : module
        ``numpy`` for arrays, `PLAIN` for one number.
    clearness : float or ndarray
        Day's irradiation over that above the air [-], 0 to 1.
    sunset_rad : float or ndarray
        Sunset hour angle [rad].

    Returns
    -------
    float or ndarray
        Diffuse fraction [-], 0 to 1.
    """
    k = clearness
    winter = 1.0 + k * (-0.2727 + k * (2.4495 + k * (-11.9514 + 9.3879 * k)))
    winter = m.where(k < 0.715, winter, 0.143)
    rest = 1.0 + k * (0.2832 + k * (-2.5557 + 0.8448 * k))
    rest = m.where(k < 0.722, rest, 0.175)
    return m.where(sunset_rad <= m.radians(81.4), winter, rest)


def hour_shapes(m: Any, sunset_rad: Any, hour_angle: Any) -> tuple[Any, Any]:
    """Return how the day's total and its diffuse part go with the hour, not yet shares.

    Parameters
    ----------
    m : module
        ``numpy`` for arrays, `PLAIN` for one number.
    sunset_rad : float or ndarray
        Sunset hour angle [rad].
    hour_angle : float or ndarray
        Hour angle of the sun at the middle of the hour [rad].

    Returns
    -------
    tuple of (float or ndarray, float or ndarray)
        Total, after Collares-Pereira and Rabl, and diffuse part, after Liu and Jordan [-].
    """
    above_horizon = m.maximum(m.cos(hour_angle) - m.cos(sunset_rad), 0.0)
    late = m.sin(sunset_rad - m.pi / 3.0)
    total = above_horizon * (0.409 + 0.5016 * late + (0.6609 - 0.4767 * late) * m.cos(hour_angle))
    return total, above_horizon


def beam_gain(  # noqa: PLR0917 - in the order of the formula
    m: Any,
    declination_rad: Any,
    hour_angle: Any,
    latitude_deg: float,
    tilt_deg: float,
    azimuth_deg: float | None,
) -> Any:
    """Return direct light on a panel over direct light on the flat, at most 10 near the horizon.

    Parameters
    ----------
    m : module
        ``numpy`` for arrays, `PLAIN` for one number.
    declination_rad : float or ndarray
        Declination [rad].
    hour_angle : float or ndarray
        Hour angle [rad].
    latitude_deg : float
        Latitude [deg], north positive.
    tilt_deg : float
        Slope of the panel [deg], 0 flat to 90 upright.
    azimuth_deg : float or None
        Direction it faces, from north over east [deg]; None through all headings.

    Returns
    -------
    float or ndarray
        Gain [-], 0 with the sun down.

    Notes
    -----
    Cosine of the angle on the panel ÷ cosine on the flat, the mean over twelve headings
    where it swings.  A flat panel has just what the flat has, however low the sun.
    """
    latitude, tilt = m.radians(latitude_deg), m.radians(tilt_deg)
    cos_dec, sin_dec = m.cos(declination_rad), m.sin(declination_rad)
    up = m.sin(latitude) * sin_dec + m.cos(latitude) * cos_dec * m.cos(hour_angle)
    east = -cos_dec * m.sin(hour_angle)
    north = m.cos(latitude) * sin_dec - m.sin(latitude) * cos_dec * m.cos(hour_angle)
    if tilt_deg == 0.0:
        return m.where(up > 0.0, 1.0, 0.0)
    turns = range(HEADINGS) if azimuth_deg is None else (0,)
    facing = 0.0 * up
    for turn in turns:
        heading = m.radians(turn * 360.0 / HEADINGS if azimuth_deg is None else azimuth_deg)
        level = m.sin(heading) * east + m.cos(heading) * north
        facing = facing + m.maximum(m.cos(tilt) * up + m.sin(tilt) * level, 0.0)
    gain = facing / len(turns) / m.maximum(up, 1e-3)
    return m.where(up > 0.0, m.minimum(gain, 10.0), 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelDay:
    """How a panel stands.

    Parameters
    ----------
    latitude_deg : float
        Latitude [deg], north positive, -66 to 66.
    tilt_deg : float
        Slope [deg], 0 flat to 90 upright.
    azimuth_deg : float or None
        Direction it faces, from north over east [deg]; None for a vessel that swings
        through all headings.

    Raises
    ------
    BadInput
        If latitude or tilt is outside its range.
    """

    latitude_deg: float
    tilt_deg: float
    azimuth_deg: float | None = None

    def __post_init__(self) -> None:
        latitude, tilt = self.latitude_deg, self.tilt_deg
        if not -66.0 <= latitude <= 66.0:
            words = f"Latitude: {latitude:g} deg is outside -66 to 66 deg."
            raise BadInput(words, quantity="latitude")
        if not 0.0 <= tilt <= 90.0:
            raise BadInput(f"Panel tilt: {tilt:g} deg is outside 0 to 90 deg.", quantity="tilt")

    @property
    def sky_view(self) -> float:
        """Part of the sky the panel sees [-]."""
        return 0.5 * (1.0 + math.cos(math.radians(self.tilt_deg)))

    @property
    def ground_view(self) -> float:
        """Part of what the surroundings throw back that reaches the panel [-]."""
        return GROUND_REFLECTION * 0.5 * (1.0 - math.cos(math.radians(self.tilt_deg)))


def day_on_panel_kwh_m2(panel: PanelDay, *, day_of_year: float, flat_kwh_m2: float) -> float:
    """Return the irradiation of one day on a panel, as the year does, without numpy.

    Parameters
    ----------
    panel : PanelDay
        How the panel stands.
    day_of_year : float
        Day of the year [day], 1 to 366.
    flat_kwh_m2 : float
        The day's irradiation on the flat [kWh/m2/day], 0 or more.

    Returns
    -------
    float
        Irradiation on the panel [kWh/m2/day].

    Notes
    -----
    Each hour: direct part × gain + diffuse part × sky seen + total × what is thrown back.
    In dull weather the two published hourly shapes may leave less than no direct light
    near sunrise and sunset: all of that hour's light is then taken as diffuse.
    """
    dec = declination(PLAIN, day_of_year)
    setting = sunset(PLAIN, dec, panel.latitude_deg)
    above = extraterrestrial(PLAIN, day_of_year, panel.latitude_deg)
    clearness = min(flat_kwh_m2 / above, 1.0) if above > 0.0 else 0.0
    spread = diffuse(PLAIN, clearness, setting)
    angles = [math.radians(15.0 * (hour + 0.5 - 12.0)) for hour in range(24)]
    shapes = [hour_shapes(PLAIN, setting, angle) for angle in angles]
    whole, sky = (sum(part) or 1.0 for part in zip(*shapes, strict=True))
    factor = 0.0
    for angle, (in_total, in_sky) in zip(angles, shapes, strict=True):
        gain = beam_gain(PLAIN, dec, angle, panel.latitude_deg, panel.tilt_deg, panel.azimuth_deg)
        total = in_total / whole
        direct = max(total - in_sky / sky * spread, 0.0)
        factor += total * (panel.sky_view + panel.ground_view)
        factor += direct * (gain - panel.sky_view)
    return factor * flat_kwh_m2


def slope_gain(panel: PanelDay, monthly_kwh_m2: Sequence[float]) -> float:
    """Return the sun of a mean day on a panel over that on the flat.

    Parameters
    ----------
    panel : PanelDay
        How the panel stands.
    monthly_kwh_m2 : Sequence of float
        Mean daily irradiation on the flat, January to December [kWh/m2/day].

    Returns
    -------
    float
        Sum over the months on the panel ÷ sum on the flat [-]; 1 without any sun.

    Raises
    ------
    BadInput
        If there are not twelve months.

    Notes
    -----
    Each month by its middle day.
    """
    if len(monthly_kwh_m2) != len(MIDDLE_DAYS):
        raise BadInput(f"Irradiation: {len(monthly_kwh_m2)} months given, must be 12.")
    flat = math.fsum(monthly_kwh_m2)
    if flat <= 0.0:
        return 1.0
    days = zip(MIDDLE_DAYS, monthly_kwh_m2, strict=True)
    tilted = (day_on_panel_kwh_m2(panel, day_of_year=d, flat_kwh_m2=sun) for d, sun in days)
    return math.fsum(tilted) / flat
