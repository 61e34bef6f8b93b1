"""Where the sun stands.

The low-accuracy solar theory of Meeus [1]_: a mean longitude, the equation of the
centre and a little nutation.  Good to about 0.01 deg from 1950 to 2050, a hundred
times better than a panel on a swinging vessel needs.
"""

from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np
from numpy.typing import NDArray

__all__ = ["Floats", "SunPosition", "declination_deg", "julian_day", "position"]

Floats = NDArray[np.float64]

_J2000 = 2451545.0
_DELTA_T_S = 69.0
"""Terrestrial less universal time, about, for the 2020s; a second moves the sun 1e-5 deg."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SunPosition:
    """Sun at each moment asked for.

    Parameters
    ----------
    zenith_deg : ndarray
        Angle from straight up, air's bending left out [deg].
    apparent_zenith_deg : ndarray
        The same as seen, air's bending included [deg].
    azimuth_deg : ndarray
        Direction from true north over east [deg], 0 to 360.
    declination_deg : ndarray
        Angle north of the equator [deg].
    distance_au : ndarray
        Distance [astronomical units].
    """

    zenith_deg: Floats
    apparent_zenith_deg: Floats
    azimuth_deg: Floats
    declination_deg: Floats
    distance_au: Floats


def julian_day(moment: datetime) -> float:
    """Return the Julian day of a moment.

    Parameters
    ----------
    moment : datetime
        With a time zone.

    Returns
    -------
    float
        Julian day, universal time [day].

    Raises
    ------
    ValueError
        If the moment has no time zone.
    """
    if moment.tzinfo is None:
        raise ValueError("Moment: needs a time zone.")
    return 2440587.5 + moment.astimezone(UTC).timestamp() / 86400.0


@dataclass(frozen=True, slots=True)
class _Sky:
    """Right ascension, declination, distance and nutation in longitude (deg, au)."""

    ascension: Floats
    declination: Floats
    distance: Floats
    equinox: Floats


def _sky(days: Floats) -> _Sky:
    """Place of the sun among the stars; `days` from J2000, terrestrial time."""
    century = days / 36525.0
    mean_longitude = 280.46646 + century * (36000.76983 + 0.0003032 * century)
    anomaly = np.radians(357.52911 + century * (35999.05029 - 0.0001537 * century))
    eccentricity = 0.016708634 - century * (0.000042037 + 0.0000001267 * century)
    centre = (
        (1.914602 - century * (0.004817 + 0.000014 * century)) * np.sin(anomaly)
        + (0.019993 - 0.000101 * century) * np.sin(2.0 * anomaly)
        + 0.000289 * np.sin(3.0 * anomaly)
    )
    node = np.radians(125.04 - 1934.136 * century)
    nutation = -0.00478 * np.sin(node)
    longitude = np.radians(mean_longitude + centre - 0.00569 + nutation)
    tilt = np.radians(23.439291 - 0.0130042 * century + 0.00256 * np.cos(node))
    true_anomaly = anomaly + np.radians(centre)
    distance = 1.000001018 * (1.0 - eccentricity**2) / (1.0 + eccentricity * np.cos(true_anomaly))
    return _Sky(
        ascension=np.degrees(np.arctan2(np.cos(tilt) * np.sin(longitude), np.cos(longitude))),
        declination=np.degrees(np.arcsin(np.sin(tilt) * np.sin(longitude))),
        distance=distance,
        equinox=nutation * np.cos(tilt),
    )


def declination_deg(julian_days: Floats) -> Floats:
    """Return the sun's declination.

    Parameters
    ----------
    julian_days : ndarray
        Julian days, universal time [day].

    Returns
    -------
    ndarray
        Declination [deg].
    """
    return _sky(julian_days - _J2000 + _DELTA_T_S / 86400.0).declination


def position(
    julian_days: Floats,
    *,
    latitude_deg: float,
    longitude_deg: float,
    pressure_hpa: float = 1013.0,
    temperature_c: float = 12.0,
) -> SunPosition:
    """Return where the sun stands.

    Parameters
    ----------
    julian_days : ndarray
        Julian days, universal time [day]; 1950 to 2050.
    latitude_deg : float
        Latitude [deg], north positive, -90 to 90.
    longitude_deg : float
        Longitude [deg], east positive, -180 to 180.
    pressure_hpa : float
        Air pressure [hPa], for the bending by air.
    temperature_c : float
        Air temperature [deg C], for the bending by air.

    Returns
    -------
    SunPosition
        One value per moment.

    Notes
    -----
    Sidereal time, then hour angle, then the usual spherical triangle; the sun's
    parallax is taken off its height and the bending by air added as in [2]_.

    References
    ----------
    .. [1] J. Meeus, "Astronomical Algorithms", 2nd ed., chapters 12, 13 and 25, from
       memory.
    .. [2] I. Reda, A. Andreas, "Solar Position Algorithm for Solar Radiation
       Applications", NREL/TP-560-34302, 2008, equation 42, from memory.
    """
    days = julian_days - _J2000
    sky = _sky(days + _DELTA_T_S / 86400.0)
    sidereal = 280.46061837 + 360.98564736629 * days + sky.equinox
    hour_angle = np.radians(sidereal + longitude_deg - sky.ascension)
    latitude, declination = np.radians(latitude_deg), np.radians(sky.declination)
    sine = np.sin(latitude) * np.sin(declination)
    sine = sine + np.cos(latitude) * np.cos(declination) * np.cos(hour_angle)
    height = np.degrees(np.arcsin(np.clip(sine, -1.0, 1.0)))
    height = height - 8.794 / 3600.0 / sky.distance * np.cos(np.radians(height))
    south = np.arctan2(
        np.sin(hour_angle),
        np.cos(hour_angle) * np.sin(latitude) - np.tan(declination) * np.cos(latitude),
    )
    bending = _bending_deg(height, pressure_hpa, temperature_c)
    return SunPosition(
        zenith_deg=90.0 - height,
        apparent_zenith_deg=90.0 - height - bending,
        azimuth_deg=np.mod(np.degrees(south) + 180.0, 360.0),
        declination_deg=sky.declination,
        distance_au=sky.distance,
    )


def _bending_deg(height_deg: Floats, pressure_hpa: float, temperature_c: float) -> Floats:
    """Bending by air, none once the whole sun is under the horizon [deg]."""
    seen = np.maximum(height_deg, -0.8333)
    air = (pressure_hpa / 1010.0) * (283.0 / (273.0 + temperature_c))
    bending = air * 1.02 / (60.0 * np.tan(np.radians(seen + 10.3 / (seen + 5.11))))
    return np.where(height_deg >= -0.8333, bending, 0.0)
