"""Sun position against the published SPA example, irradiation against FAO-56."""

import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from electrical.core.energy.sky import (
    MJ_PER_KWH,
    daylight_h,
    extraterrestrial_kwh_m2,
    irradiation_from_sunshine,
    sunset_rad,
)
from electrical.core.energy.sun import SunPosition, julian_day, position

CASES = tomllib.loads((Path(__file__).parent / "cases" / "sun.toml").read_text())
SPA = CASES["spa"]
STATED_ACCURACY_DEG = 0.01


@pytest.fixture
def sun() -> SunPosition:
    return position(
        np.array([julian_day(SPA["moment"])]),
        latitude_deg=SPA["latitude_deg"],
        longitude_deg=SPA["longitude_deg"],
        pressure_hpa=SPA["pressure_hpa"],
        temperature_c=SPA["temperature_c"],
    )


def test_julian_day_is_the_printed_one() -> None:
    assert julian_day(SPA["moment"]) == pytest.approx(SPA["julian_day"], abs=5e-7)


def test_zenith_and_azimuth_of_the_published_example(sun: SunPosition) -> None:
    assert sun.apparent_zenith_deg[0] == pytest.approx(
        SPA["apparent_zenith_deg"], abs=STATED_ACCURACY_DEG
    )
    assert sun.azimuth_deg[0] == pytest.approx(SPA["azimuth_deg"], abs=STATED_ACCURACY_DEG)


def test_height_without_the_bending_by_air(sun: SunPosition) -> None:
    assert 90.0 - sun.zenith_deg[0] == pytest.approx(
        SPA["topocentric_height_deg"], abs=STATED_ACCURACY_DEG
    )


def test_declination_and_distance_of_the_published_example(sun: SunPosition) -> None:
    assert sun.declination_deg[0] == pytest.approx(SPA["declination_deg"], abs=0.01)
    assert sun.distance_au[0] == pytest.approx(SPA["distance_au"], abs=5e-5)


@pytest.mark.parametrize("case", CASES["fao56"]["sunset"], ids=lambda c: c["example"])
def test_hour_angle_of_sunset(case: dict[str, Any]) -> None:
    angle = sunset_rad(np.array([case["declination_rad"]]), case["latitude_deg"])
    assert angle[0] == pytest.approx(case["printed_rad"], abs=case["half_digit"])


@pytest.mark.parametrize("case", CASES["fao56"]["irradiation"], ids=lambda c: c["example"])
def test_irradiation_above_the_air(case: dict[str, Any]) -> None:
    above = extraterrestrial_kwh_m2(np.array([float(case["day_of_year"])]), case["latitude_deg"])
    assert above[0] * MJ_PER_KWH == pytest.approx(case["printed_mj_m2_day"], abs=case["half_digit"])


@pytest.mark.parametrize("case", CASES["fao56"]["daylight"], ids=lambda c: c["example"])
def test_length_of_the_day(case: dict[str, Any]) -> None:
    hours = daylight_h(np.array([float(case["day_of_year"])]), case["latitude_deg"])
    assert hours[0] == pytest.approx(case["printed_h"], abs=case["half_digit"])


@pytest.mark.parametrize("case", CASES["fao56"]["sunshine"], ids=lambda c: c["example"])
def test_irradiation_from_hours_of_sunshine(case: dict[str, Any]) -> None:
    daily = irradiation_from_sunshine(
        day_of_year=case["day_of_year"],
        latitude_deg=case["latitude_deg"],
        sunshine_h=case["sunshine_h"],
    )
    assert daily * MJ_PER_KWH == pytest.approx(case["printed_mj_m2_day"], abs=case["half_digit"])
