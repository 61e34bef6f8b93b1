"""A vessel's year, hour by hour, in many drawn weathers.

Each month is run on its own from a full battery: thirty-one days in weather drawn
around the month's mean.  That answers what an owner asks: leaving full on the first,
how low does it get, hour by hour, and how likely is it to reach its floor?  A vessel
that is lived on all year is asked otherwise: then what one month leaves the next one
starts with.
"""

from dataclasses import dataclass

import numpy as np

from electrical.core.energy.balance import DailyBalance, daily_balance
from electrical.core.energy.battery import BatteryLaw, battery_law
from electrical.core.energy.chemistry import Sourced
from electrical.core.energy.day import Missing
from electrical.core.energy.drawn_days import draw_days
from electrical.core.energy.profiles import UseProfile, shares_by_month
from electrical.core.energy.run import History, Run, follow
from electrical.core.energy.sun import Floats
from electrical.core.energy.vessel import HOURS, Array, EnergyDesign, more_battery, more_panels
from electrical.core.energy.weather import draw_clearness
from electrical.core.errors import BadInput

__all__ = [
    "Array",
    "EnergyDesign",
    "MonthResult",
    "YearResult",
    "more_battery",
    "more_panels",
    "run_year",
]

_BAND = (10.0, 50.0, 90.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthResult:
    """One month.

    Parameters
    ----------
    month : int
        1 to 12.
    floor_chance : float
        Part of the drawn months in which the battery reached its floor [-].
    chance_error : float
        Standard error of that from the number of draws [-].
    days_to_floor : float or None
        Days after which a tenth of the drawn months had reached it [day]; None when
        fewer did.
    low, middle, high : tuple of float
        State of charge that a tenth, half and nine tenths of all days stay below,
        for each hour of the day [-].
    solar_ah_day : float
        Mean charge offered by solar [Ah/day].
    can_charge : bool
        False when the battery is too cold to be charged.
    use_ah_day : float
        Mean daily use over its mix of use profiles [Ah/day].
    """

    month: int
    floor_chance: float
    chance_error: float
    days_to_floor: float | None
    low: tuple[float, ...]
    middle: tuple[float, ...]
    high: tuple[float, ...]
    solar_ah_day: float
    can_charge: bool
    use_ah_day: float


@dataclass(frozen=True, slots=True, kw_only=True)
class YearResult:
    """Twelve months.

    Parameters
    ----------
    months : tuple of MonthResult
        January first.
    use_ah_day : float
        Mean daily use over the year's mix of use profiles [Ah/day].
    law : BatteryLaw
        The battery as it was run, each figure with its source.
    irradiation : tuple of Sourced
        The weather it was run in.
    draws, seed : int
        How many months were drawn each, and from which seed.
    carries_over : bool
        Each month started as the one before it ended; else full.
    """

    months: tuple[MonthResult, ...]
    use_ah_day: float
    law: BatteryLaw
    irradiation: tuple[Sourced, ...]
    draws: int
    seed: int
    carries_over: bool = False

    @property
    def worst(self) -> MonthResult:
        """The month with the largest chance of reaching the floor."""
        return max(self.months, key=lambda month: (month.floor_chance, -min(month.low)))


def run_year(
    design: EnergyDesign, *, draws: int = 500, seed: int = 1, carries_over: bool = False
) -> YearResult | tuple[Missing, ...]:
    """Run every month of the year in drawn weather.

    Parameters
    ----------
    design : EnergyDesign
        The vessel.
    draws : int
        Drawn months each [-], 1 to 10000.
    seed : int
        The same seed gives the same weather, so that two designs can be compared.
    carries_over : bool
        For a vessel that is lived on: each month starts as the one before it ended,
        in a year like all the years before. Else each month is left full on the first.

    Returns
    -------
    YearResult or tuple of Missing
        The twelve months, or what must be known first ("cannot tell").

    Raises
    ------
    BadInput
        If `draws` is outside its range.

    Notes
    -----
    Each hour: sources carry the loads first; what is left charges the battery, no
    more than it accepts (a fixed limit, falling in proportion from `taper_from` to
    full) and not under its lowest charging temperature; what is wanting is drawn
    from it, more than counted at rates above the rated one (lead-acid, Peukert in
    rated hours), with the loss at rest.  At its floor the battery is taken to be
    disconnected and stays there until it is charged.
    """
    if not 1 <= draws <= 10_000:
        raise BadInput(f"Draws: {draws} is outside 1 to 10000.", quantity="draws")
    law = battery_law(design.battery)
    balances = [_balance(design, profile) for profile in design.profiles]
    gaps = [gap for balance in balances for gap in balance.missing]
    gaps += () if isinstance(law, BatteryLaw) else law
    shares = shares_by_month(design.profiles)
    gaps += [Missing("Use profiles", f"one for month {m}") for m in _without(shares)]
    if design.climate is None:
        gaps.append(Missing("Home port", "monthly irradiation and temperature"))
    if gaps or design.climate is None or not isinstance(law, BatteryLaw):
        return tuple(dict.fromkeys(gaps))
    weather = draw_clearness(design.climate, draws=draws, seed=seed)
    days = draw_days(design.profiles, draws=draws, seed=seed)
    steady_a = np.array(
        [_steady_a(design, *pair) for pair in zip(design.profiles, balances, strict=True)]
    )
    run = follow(
        design,
        design.climate,
        law,
        steady_a=steady_a,
        weather=weather,
        days=days,
        carries_over=carries_over,
    )
    use_ah = np.array(shares) @ np.array([balance.use_ah for balance in balances])
    return YearResult(
        months=tuple(_month(run, month, float(use_ah[month])) for month in range(12)),
        use_ah_day=float(use_ah.mean()),
        law=law,
        irradiation=design.climate.irradiation_kwh_m2_day,
        draws=draws,
        seed=seed,
        carries_over=carries_over,
    )


def _without(shares: tuple[tuple[float, ...], ...]) -> list[int]:
    """Months in which no profile holds."""
    return [month for month, parts in enumerate(shares, start=1) if not any(parts)]


def _balance(design: EnergyDesign, profile: UseProfile) -> DailyBalance:
    return daily_balance(
        plan=profile.plan, loads=design.loads, battery=design.battery, chargers=design.chargers
    )


def _steady_a(design: EnergyDesign, profile: UseProfile, balance: DailyBalance) -> Floats:
    """What chargers bring less what loads take, for each hour of the day [A]."""
    net_a = {
        state: _engine_a(design, state) - balance.use_by_state_ah[state] / hours_h
        for state, hours_h in balance.hours_by_state.items()
    }
    return np.array([net_a[state] for state in profile.states])


def _engine_a(design: EnergyDesign, state: str) -> float:
    return sum(
        (charger.current_a or 0.0) * ((charger.duty_by_state or {}).get(state) or 0.0)
        for charger in design.chargers
    )


def _month(run: Run, month: int, use_ah_day: float) -> MonthResult:
    """Sum up one month."""
    reached_d = np.sort(run.reached_d[month])
    draws = len(reached_d)
    chance = float(np.isfinite(reached_d).mean())
    low, middle, high = _bands(run.charge[:, :, month].transpose(1, 0, 2).reshape(HOURS, -1))
    return MonthResult(
        month=month + 1,
        floor_chance=chance,
        chance_error=float(np.sqrt(chance * (1.0 - chance) / draws)),
        days_to_floor=float(reached_d[-(-draws // 10) - 1]) if chance >= 0.1 else None,
        low=low,
        middle=middle,
        high=high,
        solar_ah_day=float(run.solar_ah_day[month]),
        can_charge=bool(run.can_charge[month]),
        use_ah_day=use_ah_day,
    )


def _bands(by_hour: History) -> list[tuple[float, ...]]:
    """State of charge at the band's edges for each hour."""
    count = by_hour.shape[1]
    places = [min(int(count * share / 100.0), count - 1) for share in _BAND]
    ordered = np.partition(by_hour, places, axis=1)
    return [tuple(float(value) for value in ordered[:, place]) for place in places]
