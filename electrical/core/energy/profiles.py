"""How a vessel is used: the 24 hours of each kind of day, and how often each comes.

A working day and a night at anchor use a battery differently.  Each is a use profile;
over a year they come in a mix of so many days a week, some of them in a season only.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from electrical.core.energy.balance import DailyBalance, daily_balance
from electrical.core.energy.day import (
    Battery,
    Charger,
    ChargerKind,
    DayPlan,
    Load,
    require_range,
)
from electrical.core.errors import BadInput

__all__ = [
    "DAYS_PER_WEEK",
    "WHOLE_YEAR",
    "HourBalance",
    "UseProfile",
    "day_by_hour",
    "days_by_month",
    "shares_by_month",
]

DAYS_PER_WEEK = 7.0
HOURS = 24
MONTHS = 12
WHOLE_YEAR = frozenset(range(1, MONTHS + 1))
_DAYS_TOLERANCE = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class UseProfile:
    """One kind of day.

    Parameters
    ----------
    name : str
        What the user calls it.
    states : tuple of str
        Operating state from 00:00, 01:00, ... 23:00; exactly 24 names.
    days_per_week : float
        How many days of a week are like it [day], above 0 to 7.
    months : frozenset of int
        Months in which it comes, 1 to 12; at least one.

    Raises
    ------
    BadInput
        If there are not 24 hours, or days or months are outside their limits.
    """

    name: str
    states: tuple[str, ...]
    days_per_week: float = DAYS_PER_WEEK
    months: frozenset[int] = WHOLE_YEAR

    def __post_init__(self) -> None:
        if len(self.states) != HOURS:
            raise BadInput(f"{self.name}: {len(self.states)} hours given, must be 24")
        name = f"{self.name}: days a week"
        require_range(name, self.days_per_week, 0.0, DAYS_PER_WEEK, "days")
        if self.days_per_week == 0.0:
            raise BadInput(f"{name}: must be above 0 days")
        if not self.months or not self.months <= WHOLE_YEAR:
            raise BadInput(f"{self.name}: months: must be some of 1 to 12")

    @property
    def plan(self) -> DayPlan:
        """Hours in each operating state."""
        return DayPlan.from_hours(self.states)


@dataclass(frozen=True, slots=True, kw_only=True)
class HourBalance:
    """One hour of a day.

    Parameters
    ----------
    hour : int
        From this hour to the next, 0 to 23.
    state : str
        Operating state.
    use_ah : float
        Known use in it [Ah].
    charge_ah : float
        Charge put in that comes out again [Ah], without solar.
    below_full_ah : float
        What is missing from full after it [Ah], full at midnight.
    is_use_known, is_charge_known : bool
        False where some use or charge of its state is not known and counts as nothing.
    """

    hour: int
    state: str
    use_ah: float
    charge_ah: float
    below_full_ah: float
    is_use_known: bool = True
    is_charge_known: bool = True


def day_by_hour(
    profile: UseProfile, *, loads: Sequence[Load], battery: Battery, chargers: Sequence[Charger]
) -> tuple[HourBalance, ...]:
    """Follow one day hour by hour, full at midnight and without sun.

    Parameters
    ----------
    profile : UseProfile
        The day.
    loads : Sequence of Load
        What draws from the battery.
    battery : Battery
        The battery.
    chargers : Sequence of Charger
        What charges it; solar is left out, a mean day's sun has no hour.

    Returns
    -------
    tuple of HourBalance
        The 24 hours; what is not known counts as nothing, and its hours say so.

    Notes
    -----
    Each hour is a 24th of a day spent wholly in its state, by
    :func:`~electrical.core.energy.balance.daily_balance`.  What is missing from full
    never falls below nothing: a full battery takes no more.

    Examples
    --------
    >>> lamp = Load(load_id="1", label="Lamp", current_a=2.0, duty_by_state={"at anchor": 0.5})
    >>> day = UseProfile(name="Night at anchor", states=("at anchor",) * 24)
    >>> bank = Battery(capacity_ah=96.0, chemistry=None)
    >>> hours = day_by_hour(day, loads=[lamp], battery=bank, chargers=[])
    >>> round(hours[-1].below_full_ah, 6)
    24.0
    """
    steady = [one for one in chargers if one.kind is not ChargerKind.SOLAR]
    by_state: dict[str, DailyBalance] = {}
    for state in dict.fromkeys(profile.states):
        whole_day = DayPlan(hours_by_state={state: float(HOURS)})
        by_state[state] = daily_balance(
            plan=whole_day, loads=loads, battery=battery, chargers=steady
        )
    below_ah, hours = 0.0, []
    for hour, state in enumerate(profile.states):
        day = by_state[state]
        use_ah, charge_ah = day.use_ah / HOURS, day.charge_ah / HOURS
        below_ah = max(below_ah + use_ah - charge_ah, 0.0)
        hours.append(
            HourBalance(
                hour=hour,
                state=state,
                use_ah=use_ah,
                charge_ah=charge_ah,
                below_full_ah=below_ah,
                is_use_known=day.is_use_complete,
                is_charge_known=day.is_charge_complete,
            )
        )
    return tuple(hours)


def days_by_month(profiles: Sequence[UseProfile]) -> tuple[float, ...]:
    """Add up the days a week that have a profile in each month.

    Parameters
    ----------
    profiles : Sequence of UseProfile
        The profiles.

    Returns
    -------
    tuple of float
        Days a week [day], January first.
    """
    return tuple(
        math.fsum(one.days_per_week for one in profiles if month in one.months)
        for month in range(1, MONTHS + 1)
    )


def shares_by_month(profiles: Sequence[UseProfile]) -> tuple[tuple[float, ...], ...]:
    """Work out how often each profile comes in each month.

    Parameters
    ----------
    profiles : Sequence of UseProfile
        The profiles.

    Returns
    -------
    tuple of tuple of float
        For each month, January first, the part of its days [-] of each profile, in the
        order given; together 1, or all 0 in a month without a profile.

    Raises
    ------
    BadInput
        If more than 7 days a week have a profile in some month.

    Notes
    -----
    Days a week without a profile are like the others, in their proportion:
    ``share_k = d_k / sum(d)``.
    """
    shares = []
    for month, days in enumerate(days_by_month(profiles), start=1):
        if days > DAYS_PER_WEEK + _DAYS_TOLERANCE:
            raise BadInput(f"Month {month}: {days:g} days a week have a profile, must be 7 at most")
        held = [one.days_per_week if month in one.months else 0.0 for one in profiles]
        shares.append(tuple(value / days if days else 0.0 for value in held))
    return tuple(shares)
