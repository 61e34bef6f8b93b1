"""Weather at the home port: monthly means, and days drawn from them.

What is known of a port is the mean irradiation of each month.  Dull and bright
days around that mean are drawn: how they spread follows a published distribution,
and a dull day tends to follow a dull day.
"""

from dataclasses import dataclass

import numpy as np

from electrical.core.energy.chemistry import Sourced
from electrical.core.energy.sky import (
    clear_sky_w_m2,
    declination_rad,
    extraterrestrial_kwh_m2,
)
from electrical.core.energy.sun import Floats
from electrical.core.errors import BadInput

__all__ = [
    "DAYS_BEFORE_MONTH",
    "DAYS_DRAWN",
    "PERSISTENCE",
    "Climate",
    "clear_day_kwh_m2",
    "clearness_spread",
    "days_of_months",
    "draw_clearness",
    "mean_clearness",
]

DAYS_BEFORE_MONTH = (0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334)
DAYS_DRAWN = 31
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)

PERSISTENCE = 0.29
"""Correlation of a day's clearness with the day before [-]; from memory, see Graham 1988."""

_LOWEST_CLEARNESS = 0.05
_LEAST_ABOVE_KWH_M2 = 1e-6
_PLAUSIBLE = (0.15, 0.80)
_PRINTED_KWH_M2 = 0.1
"""Step of a published table of irradiation [kWh/m2/day]; what is less than half prints as 0."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Climate:
    """Monthly means at the home port.

    Parameters
    ----------
    latitude_deg : float
        Latitude [deg], north positive, -66 to 66.
    irradiation_kwh_m2_day : tuple of Sourced
        Mean daily irradiation on the flat of each month, January first
        [kWh/m2/day], with its source.
    ambient_c : tuple of float
        Mean air temperature by day of each month [deg C].
    persistence : float
        Correlation of a day's clearness with the day before [-], 0 to below 1.

    Raises
    ------
    BadInput
        If there are not twelve months, or a figure can not be true: above what
        reaches the outer air, or so little that hardly any light would be left.  Nought
        is taken in a month whose sun is so low that a table to one decimal may print it.
    """

    latitude_deg: float
    irradiation_kwh_m2_day: tuple[Sourced, ...]
    ambient_c: tuple[float, ...]
    persistence: float = PERSISTENCE

    def __post_init__(self) -> None:
        if len(self.irradiation_kwh_m2_day) != 12 or len(self.ambient_c) != 12:
            raise BadInput("Weather: twelve months of irradiation and temperature are needed.")
        if not -66.0 <= self.latitude_deg <= 66.0:
            raise BadInput(f"Latitude: {self.latitude_deg:g} deg is outside -66 to 66 deg.")
        if not 0.0 <= self.persistence < 1.0:
            raise BadInput(f"Persistence: {self.persistence:g} is outside 0 to below 1.")
        above = _monthly_above(self.latitude_deg)
        for month, given, most in zip(MONTHS, self.irradiation_kwh_m2_day, above, strict=True):
            low, high = _limits_kwh_m2(float(most))
            if not low <= given.value <= high:
                raise BadInput(
                    f"Irradiation in {month}: {given.value:g} kWh/m² a day is outside "
                    f"{low:.2g} to {high:.2g}, which this latitude can have.",
                    quantity="irradiation",
                )


def _limits_kwh_m2(above_kwh_m2: float) -> tuple[float, float]:
    """What a month's mean may be as printed to one decimal [kWh/m2/day]."""
    low, high = (share * above_kwh_m2 for share in _PLAUSIBLE)
    half = 0.5 * _PRINTED_KWH_M2
    return 0.0 if low < half else low, max(high, _PRINTED_KWH_M2) if high >= half else high


def _monthly_above(latitude_deg: float) -> Floats:
    """Mean irradiation above the air by month [kWh/m2/day]."""
    daily = extraterrestrial_kwh_m2(days_of_months(), latitude_deg)
    monthly: Floats = daily.reshape(12, DAYS_DRAWN).mean(axis=1)
    return monthly


def days_of_months() -> Floats:
    """Return the days of thirty-one days from the first of each month.

    Returns
    -------
    ndarray
        Day of the year, 12 times 31 values, month by month.
    """
    starts: Floats = np.array(DAYS_BEFORE_MONTH, dtype=np.float64)[:, None]
    return (starts + np.arange(1.0, DAYS_DRAWN + 1.0)).ravel()


def mean_clearness(climate: Climate) -> Floats:
    """Return the mean clearness index of each month.

    Parameters
    ----------
    climate : Climate
        The port.

    Returns
    -------
    ndarray
        Irradiation over that above the air [-], twelve values; 0 in a month without sun.

    Notes
    -----
    A figure rounded to one decimal is held to 0.15 to 0.80 where there is hardly any sun.
    """
    given: Floats = np.array([month.value for month in climate.irradiation_kwh_m2_day])
    above = _monthly_above(climate.latitude_deg)
    clearness = np.clip(given / np.maximum(above, _LEAST_ABOVE_KWH_M2), *_PLAUSIBLE)
    return np.where(given > 0.0, clearness, 0.0)


def clear_day_kwh_m2(*, day_of_year: float, latitude_deg: float) -> float:
    """Return the irradiation on the flat of a day without a cloud.

    Parameters
    ----------
    day_of_year : float
        Day of the year [day], 1 to 366.
    latitude_deg : float
        Latitude [deg], north positive.

    Returns
    -------
    float
        Irradiation [kWh/m2].

    Notes
    -----
    The clear-sky model of :func:`~electrical.core.energy.sky.clear_sky_w_m2`
    added up every six minutes; the bending by air is left out.
    """
    declination = declination_rad(np.array(day_of_year))
    hour_angle = np.radians(15.0 * (np.arange(0.05, 24.0, 0.1) - 12.0))
    latitude = np.radians(latitude_deg)
    cosine = np.sin(latitude) * np.sin(declination)
    cosine = cosine + np.cos(latitude) * np.cos(declination) * np.cos(hour_angle)
    zenith = np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)))
    return float(clear_sky_w_m2(zenith).sum() * 0.1 / 1000.0)


def clearness_spread(mean: float) -> tuple[float, float, float]:
    """Return how daily clearness spreads around its monthly mean.

    Parameters
    ----------
    mean : float
        Mean clearness index [-], 0.1 to 0.8.

    Returns
    -------
    tuple of float
        Least and largest clearness [-] and the exponent of the distribution [-].

    Notes
    -----
    Density proportional to ``exp(g k)`` between 0.05 and
    ``0.6313 + 0.267 m - 11.9 (m - 0.75)**8`` (Bendt et al. 1981, Hollands and
    Huget 1983 [1]_, from memory); ``g`` is found so that the mean is kept.

    References
    ----------
    .. [1] J. A. Duffie, W. A. Beckman, "Solar Engineering of Thermal Processes",
       3rd ed., section 2.9.
    """
    low = _LOWEST_CLEARNESS
    high = 0.6313 + 0.267 * mean - 11.9 * (mean - 0.75) ** 8
    high = max(high, mean + 0.02)
    left, right = -200.0, 200.0
    for _ in range(60):
        middle = 0.5 * (left + right)
        if _exponential_mean(low, high, middle) < mean:
            left = middle
        else:
            right = middle
    return low, high, 0.5 * (left + right)


def _exponential_mean(low: float, high: float, exponent: float) -> float:
    span = exponent * (high - low)
    if abs(span) < 1e-9:
        return 0.5 * (low + high)
    return float(high - (high - low) * (1.0 / span - 1.0 / np.expm1(span)) if span < 700 else high)


def draw_clearness(climate: Climate, *, draws: int, seed: int) -> Floats:
    """Draw the clearness of every day of every month.

    Parameters
    ----------
    climate : Climate
        The port.
    draws : int
        Number of drawn months each [-], 1 or more.
    seed : int
        The same seed gives the same weather.

    Returns
    -------
    ndarray
        Clearness index [-], thirty-one days by twelve months by draws.

    Notes
    -----
    A series of normal numbers, each correlated with the one before, is turned into
    ranks and these into the month's distribution (Graham, Hollands and Brunger
    1988, from memory).  A month of no irradiation has none on any day.
    """
    noise = np.random.default_rng(seed).standard_normal((DAYS_DRAWN, 12, draws))
    fresh = np.sqrt(1.0 - climate.persistence**2)
    for day in range(1, DAYS_DRAWN):
        noise[day] = climate.persistence * noise[day - 1] + fresh * noise[day]
    drawn = _normal_cdf(noise)
    for month, mean in enumerate(mean_clearness(climate)):
        if not mean:
            drawn[:, month] = 0.0
            continue
        low, high, exponent = clearness_spread(float(mean))
        drawn[:, month] = _quantile(drawn[:, month], low, high, exponent)
    return drawn


def _normal_cdf(x: Floats) -> Floats:
    """Standard normal distribution, within 8e-8 (Abramowitz and Stegun 26.2.17)."""
    t = 1.0 / (1.0 + 0.2316419 * np.abs(x))
    poly = t * (
        0.319381530 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429)))
    )
    tail = np.exp(-0.5 * x * x) / np.sqrt(2.0 * np.pi) * poly
    below: Floats = np.where(x >= 0.0, 1.0 - tail, tail)
    return below


def _quantile(rank: Floats, low: float, high: float, exponent: float) -> Floats:
    if abs(exponent) * (high - low) < 1e-6:
        return low + rank * (high - low)
    value: Floats = low + np.log1p(rank * np.expm1(exponent * (high - low))) / exponent
    return value
