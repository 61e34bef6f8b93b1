"""Sunshine of a day: above the air, on the flat, under a clear sky."""

import numpy as np

from electrical.core.energy import sunshine
from electrical.core.energy.sun import Floats
from electrical.core.energy.sunshine import MJ_PER_KWH
from electrical.core.errors import BadInput

__all__ = [
    "MJ_PER_KWH",
    "clear_sky_w_m2",
    "daylight_h",
    "declination_rad",
    "diffuse_fraction",
    "extraterrestrial_kwh_m2",
    "irradiation_from_sunshine",
    "sunset_rad",
]


def declination_rad(day_of_year: Floats) -> Floats:
    """Return the sun's declination, closer than the formula of FAO-56.

    Parameters
    ----------
    day_of_year : ndarray
        Day of the year, 1 to 366.

    Returns
    -------
    ndarray
        Declination [rad], within 0.5 deg in any year: leap years shift the seasons.

    Notes
    -----
    Fourier series of Spencer [1]_, from memory.  FAO-56's single sine is up to 1 deg
    off in autumn: it is kept where FAO-56 is quoted, and used nowhere else.

    References
    ----------
    .. [1] J. W. Spencer, "Fourier series representation of the position of the sun",
       Search 2 (5), 1971, p. 172.
    """
    found: Floats = sunshine.declination(np, day_of_year)
    return found


def sunset_rad(declination: Floats, latitude_deg: float) -> Floats:
    """Return the hour angle of sunset.

    Parameters
    ----------
    declination : ndarray
        Declination [rad].
    latitude_deg : float
        Latitude [deg], north positive.

    Returns
    -------
    ndarray
        Hour angle [rad], 0 in polar night to pi in midnight sun.

    Notes
    -----
    ``cos(ws) = -tan(lat) tan(dec)``, FAO-56 equation 25.
    """
    angle: Floats = sunshine.sunset(np, declination, latitude_deg)
    return angle


def extraterrestrial_kwh_m2(day_of_year: Floats, latitude_deg: float) -> Floats:
    """Return the day's irradiation on the flat above the air.

    Parameters
    ----------
    day_of_year : ndarray
        Day of the year, 1 to 366.
    latitude_deg : float
        Latitude [deg], north positive.

    Returns
    -------
    ndarray
        Irradiation [kWh/m2/day].

    Notes
    -----
    ``Ra = 24*60/pi Gsc dr (ws sin(lat) sin(dec) + cos(lat) cos(dec) sin(ws))``,
    FAO-56 equation 21 [1]_.

    References
    ----------
    .. [1] R. G. Allen et al., "Crop evapotranspiration", FAO Irrigation and Drainage
       Paper 56, 1998, equations 21 to 35.

    Examples
    --------
    FAO-56, example 8: 3 September at 20 deg S, 32.2 MJ/m2/day.

    >>> import numpy as np
    >>> round(3.6 * float(extraterrestrial_kwh_m2(np.array([246.0]), -20.0)[0]), 1)
    32.2
    """
    daily: Floats = sunshine.extraterrestrial(np, day_of_year, latitude_deg)
    return daily


def daylight_h(day_of_year: Floats, latitude_deg: float) -> Floats:
    """Return the hours from sunrise to sunset.

    Parameters
    ----------
    day_of_year : ndarray
        Day of the year, 1 to 366.
    latitude_deg : float
        Latitude [deg], north positive.

    Returns
    -------
    ndarray
        Hours of daylight [h].

    Notes
    -----
    ``N = 24/pi ws``, FAO-56 equation 34.
    """
    fao_declination = 0.409 * np.sin(2.0 * np.pi * day_of_year / 365.0 - 1.39)
    return 24.0 / np.pi * sunset_rad(fao_declination, latitude_deg)


def irradiation_from_sunshine(
    *, day_of_year: float, latitude_deg: float, sunshine_h: float
) -> float:
    """Estimate a day's irradiation from its hours of bright sunshine.

    Parameters
    ----------
    day_of_year : float
        Day of the year [day]; the middle of the month for a monthly mean.
    latitude_deg : float
        Latitude [deg], north positive.
    sunshine_h : float
        Mean hours of bright sunshine a day [h], 0 to the length of the day.

    Returns
    -------
    float
        Irradiation on the flat [kWh/m2/day].

    Raises
    ------
    BadInput
        If there is more sunshine than daylight, or less than none.

    Notes
    -----
    ``Rs = (0.25 + 0.50 n/N) Ra``, FAO-56 equation 35 with its default constants.

    Examples
    --------
    FAO-56, example 10: Rio de Janeiro in May, 220 h of sunshine, 14.5 MJ/m2/day.

    >>> rio = irradiation_from_sunshine(day_of_year=135.0, latitude_deg=-22.9,
    ...                                 sunshine_h=220.0 / 31.0)
    >>> round(3.6 * rio, 1)
    14.5
    """
    day = np.array([day_of_year])
    longest_h = float(daylight_h(day, latitude_deg)[0])
    if not 0.0 <= sunshine_h <= longest_h:
        raise BadInput(
            f"Sunshine: {sunshine_h:g} h a day is not between 0 h and the {longest_h:.1f} h "
            "of daylight.",
            quantity="sunshine",
        )
    above = float(extraterrestrial_kwh_m2(day, latitude_deg)[0])
    return (0.25 + 0.50 * sunshine_h / longest_h if longest_h else 0.25) * above


def clear_sky_w_m2(apparent_zenith_deg: Floats) -> Floats:
    """Return the irradiance on the flat under a clear sky.

    Parameters
    ----------
    apparent_zenith_deg : ndarray
        Angle of the sun from straight up as seen [deg].

    Returns
    -------
    ndarray
        Irradiance [W/m2], none with the sun down.

    Notes
    -----
    Haurwitz [1]_: ``1098 cos(z) exp(-0.059 / cos(z))``, found best of the simplest
    models by a later comparison [2]_, both from memory.

    References
    ----------
    .. [1] B. Haurwitz, J. Meteorology 2, 1945, p. 154.
    .. [2] M. J. Reno et al., SAND2012-2389, Sandia, 2012.
    """
    cosine = np.cos(np.radians(apparent_zenith_deg))
    up = np.maximum(cosine, 1e-6)
    return np.where(cosine > 0.0, 1098.0 * up * np.exp(-0.059 / up), 0.0)


def diffuse_fraction(clearness: Floats, sunset_rad: Floats) -> Floats:
    """Return the part of a day's irradiation that comes from the whole sky.

    Parameters
    ----------
    clearness : ndarray
        Day's irradiation over that above the air [-], 0 to 1.
    sunset_rad : ndarray
        Sunset hour angle [rad], broadcast against `clearness`.

    Returns
    -------
    ndarray
        Diffuse fraction [-], 0 to 1.

    Notes
    -----
    Correlation of Erbs, Klein and Duffie [1]_ for daily values, apart for winter
    (sunset angle at most 81.4 deg) and the rest of the year; from memory.

    References
    ----------
    .. [1] D. G. Erbs, S. A. Klein, J. A. Duffie, Solar Energy 28, 1982, pp. 293-302.
    """
    fraction: Floats = sunshine.diffuse(np, clearness, sunset_rad)
    return fraction
