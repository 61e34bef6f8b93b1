"""Every hour of every drawn month: what the battery gives and takes.

What sun, engine and loads do does not depend on the battery, so it is worked out
for all hours at once.  Only the state of charge needs one hour after another; it
is followed as what is missing from full.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from electrical.core.energy.battery import BatteryLaw
from electrical.core.energy.drawn_days import Days
from electrical.core.energy.radiation import shape_of_days
from electrical.core.energy.sky import diffuse_fraction
from electrical.core.energy.solar import CHARGING_OVER_NOMINAL, power_factors
from electrical.core.energy.sun import Floats
from electrical.core.energy.vessel import HOURS, Array, EnergyDesign
from electrical.core.energy.weather import DAYS_DRAWN, Climate, days_of_months

__all__ = ["History", "Run", "follow"]

_BLOCK = 64
_SETTLED = 1e-5
"""Part of the capacity by which a month's start may still change [-]."""

History = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """What came of running every month.

    Parameters
    ----------
    charge : ndarray
        State of charge after each hour [-], days by hours by months by draws.
    reached_d : ndarray
        Days until the floor was first reached [day], months by draws; infinite
        where it was not.
    solar_ah_day : ndarray
        Mean charge offered by solar in each month [Ah/day].
    can_charge : ndarray
        False in months in which the battery is too cold to be charged.
    """

    charge: History
    reached_d: Floats
    solar_ah_day: Floats
    can_charge: NDArray[np.bool_]


def follow(
    design: EnergyDesign,
    climate: Climate,
    law: BatteryLaw,
    *,
    steady_a: Floats,
    weather: Floats,
    days: Days,
    carries_over: bool = False,
) -> Run:
    """Follow the battery through every hour of every drawn month.

    Parameters
    ----------
    design : EnergyDesign
        The vessel.
    climate : Climate
        Its home port.
    law : BatteryLaw
        Its battery.
    steady_a : ndarray
        What chargers bring less what loads take [A], by use profile and hour of the day.
    weather : ndarray
        Clearness index [-], thirty-one days by twelve months by draws.
    days : ndarray of int
        Use profile of each day, in the shape of `weather`.
    carries_over : bool
        Each month starts as the one before it ended, January as December did; else
        each starts full.

    Returns
    -------
    Run
        State of charge and when the floor was reached.
    """
    draws = weather.shape[-1]
    blocks = [
        _follow_block(
            design,
            climate,
            law,
            steady_a=steady_a,
            weather=weather[..., start : start + _BLOCK],
            days=days[..., start : start + _BLOCK],
            carries_over=carries_over,
        )
        for start in range(0, draws, _BLOCK)
    ]
    shares = np.array([block.charge.shape[-1] / draws for block in blocks])
    return Run(
        charge=np.concatenate([block.charge for block in blocks], axis=-1),
        reached_d=np.concatenate([block.reached_d for block in blocks], axis=-1),
        solar_ah_day=shares @ np.array([block.solar_ah_day for block in blocks]),
        can_charge=blocks[0].can_charge,
    )


def _follow_block(
    design: EnergyDesign,
    climate: Climate,
    law: BatteryLaw,
    *,
    steady_a: Floats,
    weather: Floats,
    days: Days,
    carries_over: bool,
) -> Run:
    """Follow a few draws, few enough to stay in the processor's cache."""
    net_a, solar_ah_day = _net_current(
        design, climate, law, steady_a=steady_a, weather=weather, days=days
    )
    can_charge = np.array(design.battery_c or climate.ambient_c) >= law.min_charge_c.value
    offered = np.minimum(np.maximum(net_a, 0.0), law.acceptance_a.value)
    stored = np.where(can_charge, law.charge_efficiency.value / law.capacity_ah, 0.0)
    offered *= stored[:, None]
    taken = _felt_a(np.maximum(-net_a, 0.0), law)
    taken *= 1.0 / law.capacity_ah
    taken += law.self_discharge_per_h
    missing = _missing_from_full(offered, taken, law, np.zeros(offered.shape[2:]))
    if carries_over:
        missing = _carried_over(missing, offered, taken, law)
    return Run(
        charge=np.float32(1.0) - missing,
        reached_d=_first_reached(missing, law),
        solar_ah_day=solar_ah_day,
        can_charge=can_charge,
    )


def _carried_over(missing: History, offered: Floats, taken: Floats, law: BatteryLaw) -> History:
    """Start each month as the one before ended, until nothing changes any more.

    What is missing at the end only grows with what was missing at the start, so the
    starts rise from full to where they belong, a month further with each pass.  A large
    battery that loses a little each year would take many years to get there: what has
    not settled after two starts again from its floor, which is never too good.
    """
    start = np.zeros(offered.shape[2:])
    for years_from in ("full", "floor"):
        for _ in range(2 * offered.shape[2]):
            before, start = start, np.roll(missing[-1, -1], 1, axis=0).astype(np.float64)
            moving = (np.abs(start - before) >= _SETTLED).any(axis=0)
            if not moving.any():
                return missing
            missing = _missing_from_full(offered, taken, law, start)
        if years_from == "full":
            start[:, moving] = law.usable_depth.value
            missing = _missing_from_full(offered, taken, law, start)
    return missing


def _missing_from_full(offered: Floats, taken: Floats, law: BatteryLaw, start: Floats) -> History:
    """Step through the hours; `offered` and `taken` in parts of the capacity."""
    taper = law.acceptance_a.value * law.charge_efficiency.value / law.capacity_ah
    taper = min(taper / (1.0 - law.taper_from), 1.0)
    depth = law.usable_depth.value
    missing = start.copy()
    accepted = np.empty_like(missing)
    history: History = np.empty(offered.shape, dtype=np.float32)
    hours = (
        array.reshape(DAYS_DRAWN * HOURS, *missing.shape) for array in (offered, taken, history)
    )
    has_offer = offered.any(axis=(2, 3)).ravel().tolist()
    for is_offered, offer, draw, kept in zip(has_offer, *hours, strict=True):
        missing += draw
        if is_offered:
            np.multiply(missing, taper, out=accepted)
            np.minimum(accepted, offer, out=accepted)
            missing -= accepted
        np.minimum(missing, depth, out=missing)
        kept[:] = missing
    return history


def _first_reached(missing: History, law: BatteryLaw) -> Floats:
    at_floor = missing.reshape(DAYS_DRAWN * HOURS, *missing.shape[2:]) >= np.float32(
        law.usable_depth.value
    )
    first: Floats = (at_floor.argmax(axis=0) + 1.0) / HOURS
    return np.where(at_floor.any(axis=0), first, np.inf)


def _felt_a(current_a: Floats, law: BatteryLaw) -> Floats:
    """Current as the battery feels it: more than counted above its rated current."""
    if law.exponent.value > 1.0:
        fast = current_a > law.rated_a
        current_a[fast] = law.felt_above_rated_a(current_a[fast])
    return current_a


def _net_current(
    design: EnergyDesign,
    climate: Climate,
    law: BatteryLaw,
    *,
    steady_a: Floats,
    weather: Floats,
    days: Days,
) -> tuple[Floats, Floats]:
    """Current left over in each hour [A], and what solar offers by month [Ah/day]."""
    net_a = np.zeros((DAYS_DRAWN, HOURS, *weather.shape[1:]))
    for array in design.arrays:
        net_a += _solar_amps(array, climate, law, weather)
    solar_ah_day = net_a.mean(axis=(0, 1, 3)) * HOURS
    if len(steady_a) == 1:
        net_a += steady_a[0][:, None, None]
    else:
        net_a += steady_a.T[:, days].swapaxes(0, 1)
    return net_a, solar_ah_day


def _solar_amps(array: Array, climate: Climate, law: BatteryLaw, weather: Floats) -> Floats:
    """Current offered by one array [A], days by hours by months by draws."""
    panels = array.panels
    shape = shape_of_days(
        days_of_months(),
        latitude_deg=climate.latitude_deg,
        tilt_deg=panels.tilt_deg,
        azimuth_deg=panels.azimuth_deg,
    )
    above = shape.above_kwh_m2[:, None]
    by_total, by_sky, direct_over_sky = (
        factor.reshape(12, DAYS_DRAWN, HOURS).transpose(1, 2, 0)[:, :, :, None]
        for factor in (above * shape.total, above * shape.sky, shape.direct_over_sky)
    )
    sunset = shape.sunset_rad.reshape(12, DAYS_DRAWN).T[:, :, None]
    spread = weather * diffuse_fraction(weather, sunset)
    per_watt = array.regulator.amps_per_watt(panels, law.nominal_v * CHARGING_OVER_NOMINAL)
    factors = np.array([power_factors(panels, air_c) for air_c in climate.ambient_c]) * per_watt
    light: Floats = weather[:, None] * by_total
    if panels.tilt_deg:
        direct = light - spread[:, None] * by_sky
        np.maximum(direct, 0.0, out=direct)
        direct *= direct_over_sky
        light *= shape.level_view
        light += direct
    amps = light * factors[:, 1:]
    amps += factors[:, :1]
    amps *= light
    return np.clip(amps, 0.0, array.regulator.max_output_a, out=amps)
