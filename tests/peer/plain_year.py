"""The year's run written again in plain Python, one draw and one hour at a time.

Written from the description of the run, not from its code, without arrays: a check
that the fast one computes what it says, and the measure of how fast it is.
"""

from math import asin, cos, pi, radians, sin, tan

from electrical.core.energy.battery import BatteryLaw, battery_law
from electrical.core.energy.drawn_days import draw_days
from electrical.core.energy.vessel import EnergyDesign
from electrical.core.energy.weather import DAYS_BEFORE_MONTH, draw_clearness

REFLECTION = 0.10


def plain_year(
    design: EnergyDesign, *, draws: int, seed: int = 1, years: int = 0
) -> list[list[list[float]]]:
    """State of charge after each hour: by month, by draw.

    With `years` the months follow one another so many times, and the last counts.
    """
    law = battery_law(design.battery)
    assert isinstance(law, BatteryLaw)
    assert design.climate is not None
    weather = draw_clearness(design.climate, draws=draws, seed=seed)
    days = draw_days(design.profiles, draws=draws, seed=seed)
    charge = [1.0] * draws
    for _ in range(max(years, 1)):
        histories = []
        for month in range(12):
            months = [
                _month(
                    design,
                    law,
                    month,
                    [float(k) for k in weather[:, month, draw]],
                    [design.profiles[which].states for which in days[:, month, draw]],
                    start,
                )
                for draw, start in enumerate(charge)
            ]
            charge = [history[-1] if years else 1.0 for history in months]
            histories.append(months)
    return histories


def _month(
    design: EnergyDesign,
    law: BatteryLaw,
    month: int,
    clearness: list[float],
    days: list[tuple[str, ...]],
    start: float,
) -> list[float]:
    charge, history = start, []
    assert design.climate is not None
    air_c = design.climate.ambient_c[month]
    battery_c = air_c if design.battery_c is None else design.battery_c[month]
    for day, k in enumerate(clearness):
        light = _day_light(design, DAYS_BEFORE_MONTH[month] + day + 1, k)
        for hour, state in enumerate(days[day]):
            net_a = _engine_a(design, state) - _load_a(design, state)
            net_a += sum(
                _solar_a(design, law, which, hours[hour], air_c)
                for which, hours in enumerate(light)
            )
            charge -= law.self_discharge_per_h
            if net_a > 0.0:
                if battery_c >= law.min_charge_c.value:
                    charge = _charged(law, charge, net_a)
            else:
                charge -= _felt_a(law, -net_a) / law.capacity_ah
            charge = max(charge, law.floor)
            history.append(charge)
    return history


def _charged(law: BatteryLaw, charge: float, net_a: float) -> float:
    limit_a = law.acceptance_a.value
    accepted_a = min(limit_a, limit_a * (1.0 - charge) / (1.0 - law.taper_from), net_a)
    stored = max(accepted_a, 0.0) * law.charge_efficiency.value / law.capacity_ah
    return min(charge + stored, 1.0)


def _felt_a(law: BatteryLaw, current_a: float) -> float:
    ratio = max(current_a / (law.capacity_ah / law.rated_hours), 1.0)
    felt_a: float = current_a * ratio ** (law.exponent.value - 1.0)
    return felt_a


def _load_a(design: EnergyDesign, state: str) -> float:
    return sum(
        load.quantity * (load.current_a or 0.0) * (load.duty_by_state.get(state) or 0.0)
        for load in design.loads
    )


def _engine_a(design: EnergyDesign, state: str) -> float:
    return sum(
        (charger.current_a or 0.0) * ((charger.duty_by_state or {}).get(state) or 0.0)
        for charger in design.chargers
    )


def _solar_a(
    design: EnergyDesign, law: BatteryLaw, which: int, light: float, air_c: float
) -> float:
    panels, regulator = design.arrays[which].panels, design.arrays[which].regulator
    cell_c = air_c + light * (panels.cell_nominal_c - 20.0) / 0.8
    power_w = panels.peak_w * panels.count * panels.kept * light
    power_w *= 1.0 + panels.power_coefficient_per_c * (cell_c - 25.0)
    amps = power_w * regulator.efficiency / (1.15 * law.nominal_v)
    return min(max(amps, 0.0), regulator.max_output_a)


def _day_light(design: EnergyDesign, day: int, k: float) -> list[list[float]]:
    """Irradiance on each array in each hour [kW/m2]."""
    assert design.climate is not None
    latitude = radians(design.climate.latitude_deg)
    declination = _declination(day)
    sunset = pi / 2.0 - _arcsin(-tan(latitude) * tan(declination))
    total_kwh = _above_the_air(latitude, day)
    angles = [radians(15.0 * (hour + 0.5 - 12.0)) for hour in range(24)]
    rise = [max(cos(angle) - cos(sunset), 0.0) for angle in angles]
    late = sin(sunset - pi / 3.0)
    bulge = [
        up * (0.409 + 0.5016 * late + (0.6609 - 0.4767 * late) * cos(angle))
        for up, angle in zip(rise, angles, strict=True)
    ]
    spread = _diffuse(k, sunset)
    flat = [total_kwh * k * share / sum(bulge) for share in bulge]
    sky = [total_kwh * k * spread * share / sum(rise) for share in rise]
    return [
        [
            max((g - d) * _gain(array.panels.tilt_deg, array.panels.azimuth_deg, sun), 0.0)
            + min(g, d) * (1.0 + cos(radians(array.panels.tilt_deg))) / 2.0
            + g * REFLECTION * (1.0 - cos(radians(array.panels.tilt_deg))) / 2.0
            for g, d, sun in zip(
                flat, sky, ((latitude, declination, angle) for angle in angles), strict=True
            )
        ]
        for array in design.arrays
    ]


def _declination(day: int) -> float:
    turn = 2.0 * pi * (day - 1) / 365.0
    series = (
        (0.006918, 0.0),
        (-0.399912, 0.070257),
        (-0.006758, 0.000907),
        (-0.002697, 0.00148),
    )
    return sum(c * cos(n * turn) + s * sin(n * turn) for n, (c, s) in enumerate(series))


def _above_the_air(latitude: float, day: int) -> float:
    """FAO-56 equations 21 to 25, in kWh/m2."""
    year = 2.0 * pi * day / 365.0
    declination = 0.409 * sin(year - 1.39)
    sunset = pi / 2.0 - _arcsin(-tan(latitude) * tan(declination))
    flat = sunset * sin(latitude) * sin(declination)
    flat += cos(latitude) * cos(declination) * sin(sunset)
    return 24.0 * 60.0 / pi * 0.0820 * (1.0 + 0.033 * cos(year)) * flat / 3.6


def _arcsin(x: float) -> float:
    return asin(max(-1.0, min(1.0, x)))


def _gain(tilt_deg: float, azimuth_deg: float | None, sun: tuple[float, float, float]) -> float:
    latitude, declination, angle = sun
    up = sin(latitude) * sin(declination) + cos(latitude) * cos(declination) * cos(angle)
    if up <= 0.0:
        return 0.0
    east = -cos(declination) * sin(angle)
    north = cos(latitude) * sin(declination) - sin(latitude) * cos(declination) * cos(angle)
    headings = range(0, 360, 30) if azimuth_deg is None else [azimuth_deg]
    facing = [
        max(
            cos(radians(tilt_deg)) * up
            + sin(radians(tilt_deg))
            * (sin(radians(heading)) * east + cos(radians(heading)) * north),
            0.0,
        )
        for heading in headings
    ]
    return min(sum(facing) / len(facing) / max(up, 1e-3), 10.0)


def _diffuse(k: float, sunset: float) -> float:
    if sunset <= radians(81.4):
        if k >= 0.715:
            return 0.143
        return 1.0 - 0.2727 * k + 2.4495 * k**2 - 11.9514 * k**3 + 9.3879 * k**4
    if k >= 0.722:
        return 0.175
    return 1.0 + 0.2832 * k - 2.5557 * k**2 + 0.8448 * k**3
