"""Sunshine on a panel: from a day's total on the flat to each hour on a slope."""

from dataclasses import dataclass

import numpy as np

from electrical.core.energy.sky import (
    declination_rad,
    diffuse_fraction,
    extraterrestrial_kwh_m2,
    sunset_rad,
)
from electrical.core.energy.sun import Floats
from electrical.core.energy.sunshine import (
    GROUND_REFLECTION,
    PanelDay,
    beam_gain,
    hour_shapes,
)

__all__ = ["GROUND_REFLECTION", "DayShape", "shape_of_days"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DayShape:
    """How a day's irradiation spreads over its hours, on the flat and on a panel.

    Every array has one row per day and one column per hour of solar time.

    Parameters
    ----------
    above_kwh_m2 : ndarray
        Day's irradiation above the air [kWh/m2/day], one per day.
    sunset_rad : ndarray
        Sunset hour angle [rad], one per day.
    total : ndarray
        Share of the day's total in each hour [1/h].
    sky : ndarray
        Share of the day's diffuse part in each hour [1/h].
    beam_gain : ndarray
        Direct light on the panel over direct light on the flat [-].
    sky_view : float
        Part of the sky the panel sees [-].
    ground_view : float
        Part of what the surroundings throw back that reaches the panel [-].
    """

    above_kwh_m2: Floats
    sunset_rad: Floats
    total: Floats
    sky: Floats
    beam_gain: Floats
    sky_view: float
    ground_view: float

    def on_panel_kw_m2(self, clearness: Floats) -> Floats:
        """Return the irradiance on the panel.

        Parameters
        ----------
        clearness : ndarray
            Clearness index of each day [-].

        Returns
        -------
        ndarray
            Mean irradiance of each hour [kW/m2], days by hours, 0 or more.

        Notes
        -----
        In dull weather the two published hourly shapes may leave less than no direct
        light near sunrise and sunset: all of that hour's light is then taken as diffuse.
        """
        above = self.above_kwh_m2[:, None]
        spread = clearness * diffuse_fraction(clearness, self.sunset_rad)
        total = above * self.total * clearness[:, None]
        direct = np.maximum(total - above * self.sky * spread[:, None], 0.0)
        return total * self.level_view + direct * self.direct_over_sky

    @property
    def level_view(self) -> float:
        """Light on the panel over light on the flat were all of it diffuse [-]."""
        return self.sky_view + self.ground_view

    @property
    def direct_over_sky(self) -> Floats:
        """What an hour's direct light gives more on the panel than diffuse light would [-]."""
        return self.beam_gain - self.sky_view


def shape_of_days(
    day_of_year: Floats, *, latitude_deg: float, tilt_deg: float, azimuth_deg: float | None
) -> DayShape:
    """Work out the shape of days for a panel.

    Parameters
    ----------
    day_of_year : ndarray
        Days of the year, 1 to 366.
    latitude_deg : float
        Latitude [deg], north positive, -66 to 66.
    tilt_deg : float
        Slope of the panel [deg], 0 flat to 90 upright.
    azimuth_deg : float or None
        Direction it faces, from north over east [deg]; None for a vessel that swings
        through all headings.

    Returns
    -------
    DayShape
        The shape.

    Raises
    ------
    BadInput
        If latitude or tilt is outside its range.

    Notes
    -----
    Hourly shares of the total after Collares-Pereira and Rabl, of the diffuse part
    after Liu and Jordan; sky and surroundings equally bright all over (isotropic)
    [1]_, from memory.  The shares are made to add up to one.  Hours are solar time,
    each taken at its middle.

    References
    ----------
    .. [1] J. A. Duffie, W. A. Beckman, "Solar Engineering of Thermal Processes",
       3rd ed., equations 2.13.2, 2.13.4 and 2.15.1.
    """
    panel = PanelDay(latitude_deg=latitude_deg, tilt_deg=tilt_deg, azimuth_deg=azimuth_deg)
    declination = declination_rad(day_of_year)
    sunset = sunset_rad(declination, latitude_deg)
    hour_angle = np.radians(15.0 * (np.arange(24) + 0.5 - 12.0))[None, :]
    total, sky = hour_shapes(np, sunset[:, None], hour_angle)
    gain: Floats = beam_gain(
        np, declination[:, None], hour_angle, latitude_deg, tilt_deg, azimuth_deg
    )
    return DayShape(
        above_kwh_m2=extraterrestrial_kwh_m2(day_of_year, latitude_deg),
        sunset_rad=sunset,
        total=total / total.sum(axis=1, keepdims=True),
        sky=sky / sky.sum(axis=1, keepdims=True),
        beam_gain=gain,
        sky_view=panel.sky_view,
        ground_view=panel.ground_view,
    )
