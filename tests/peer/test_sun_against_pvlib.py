"""Sun and clear sky against pvlib, an independent library, used in tests only."""

import numpy as np
import pandas as pd
import pvlib
import pytest

from electrical.core.energy.radiation import shape_of_days
from electrical.core.energy.sky import clear_sky_w_m2, declination_rad
from electrical.core.energy.sun import position
from electrical.core.energy.weather import clear_day_kwh_m2

pytestmark = pytest.mark.peer

PLACES = [(41.0, -9.0), (59.0, 10.0), (25.8, -80.2), (-36.8, 174.8), (0.0, 0.0)]


def hours_of(year: int) -> pd.DatetimeIndex:
    return pd.date_range(f"{year}-01-01 00:30", periods=8760, freq="h", tz="UTC")


def julian_days(times: pd.DatetimeIndex) -> np.ndarray:
    return np.asarray(times.to_julian_date())


@pytest.mark.parametrize("year", [1990, 2026, 2049])
@pytest.mark.parametrize(("latitude_deg", "longitude_deg"), PLACES)
def test_sun_stands_where_pvlib_says_within_a_hundredth_of_a_degree(
    year: int, latitude_deg: float, longitude_deg: float
) -> None:
    times = hours_of(year)[::7]
    ours = position(julian_days(times), latitude_deg=latitude_deg, longitude_deg=longitude_deg)
    theirs = pvlib.solarposition.spa_python(times, latitude_deg, longitude_deg, delta_t=69.0)
    assert np.abs(ours.zenith_deg - theirs["zenith"].to_numpy()).max() < 0.01
    turn = (ours.azimuth_deg - theirs["azimuth"].to_numpy() + 180.0) % 360.0 - 180.0
    sideways = np.abs(turn) * np.sin(np.radians(ours.zenith_deg))
    assert sideways.max() < 0.01


@pytest.mark.parametrize(("latitude_deg", "longitude_deg"), PLACES)
def test_clear_sky_year_agrees_within_half_a_percent(
    latitude_deg: float, longitude_deg: float
) -> None:
    times = hours_of(2026)
    place = pvlib.location.Location(latitude_deg, longitude_deg)
    theirs = place.get_clearsky(times, model="haurwitz")["ghi"].to_numpy().sum()
    ours = position(julian_days(times), latitude_deg=latitude_deg, longitude_deg=longitude_deg)
    total = clear_sky_w_m2(ours.apparent_zenith_deg).sum()
    assert total == pytest.approx(theirs, rel=0.005)


@pytest.mark.parametrize("day", [15, 105, 196, 288])
def test_clear_day_agrees_within_two_percent(day: int) -> None:
    """The bending by air is left out; it lifts the low sun of winter by 1.5 %."""
    times = pd.date_range("2026-01-01", periods=1440, freq="min", tz="UTC") + pd.Timedelta(
        days=day - 1
    )
    place = pvlib.location.Location(41.0, 0.0)
    theirs = place.get_clearsky(times, model="haurwitz")["ghi"].to_numpy().sum() / 60e3
    assert clear_day_kwh_m2(day_of_year=float(day), latitude_deg=41.0) == pytest.approx(
        theirs, rel=0.02
    )


@pytest.mark.parametrize(("tilt_deg", "azimuth_deg"), [(20.0, 180.0), (45.0, 100.0), (90.0, 250.0)])
def test_direct_light_on_a_slope_agrees_with_the_angle_of_incidence(
    tilt_deg: float, azimuth_deg: float
) -> None:
    day = np.array([172.0])
    shape = shape_of_days(day, latitude_deg=41.0, tilt_deg=tilt_deg, azimuth_deg=azimuth_deg)
    hour_angle = np.radians(15.0 * (np.arange(24) + 0.5 - 12.0))
    latitude, declination = np.radians(41.0), declination_rad(day)[0]
    up = np.sin(latitude) * np.sin(declination)
    up = up + np.cos(latitude) * np.cos(declination) * np.cos(hour_angle)
    zenith = np.degrees(np.arccos(up))
    south = np.arctan2(
        np.sin(hour_angle),
        np.cos(hour_angle) * np.sin(latitude) - np.tan(declination) * np.cos(latitude),
    )
    azimuth = np.degrees(south) + 180.0
    facing = pvlib.irradiance.aoi_projection(tilt_deg, azimuth_deg, zenith, azimuth)
    expected = np.minimum(np.maximum(facing, 0.0) / np.maximum(up, 1e-3), 10.0)
    is_up = up > 0.0
    assert shape.beam_gain[0][is_up] == pytest.approx(expected[is_up], abs=1e-9)
    assert (shape.beam_gain[0][~is_up] == 0.0).all()


def test_declination_agrees_over_the_year() -> None:
    """One series for every year: leap years shift the equinox by most of a day, 0.4 deg."""
    times = pd.date_range("2026-01-01 12:00", periods=365, freq="D", tz="UTC")
    theirs = pvlib.solarposition.declination_spencer71(np.arange(1, 366))
    exact = position(julian_days(times), latitude_deg=0.0, longitude_deg=0.0)
    ours = declination_rad(np.arange(1.0, 366.0))
    assert np.abs(ours - theirs).max() < 1e-6
    assert np.abs(np.degrees(ours) - exact.declination_deg).max() < 0.5
