"""Days of autonomy: how long the battery lasts on the day plan."""

import math
from dataclasses import dataclass
from enum import StrEnum

from electrical.core.energy.balance import DailyBalance
from electrical.core.energy.battery import BatteryLaw, battery_law
from electrical.core.energy.chemistry import Sourced, convention
from electrical.core.energy.day import Battery, Missing
from electrical.core.status import SourceStatus

__all__ = ["Autonomy", "AutonomyVerdict", "autonomy"]


class AutonomyVerdict(StrEnum):
    """What can be said about how long the battery lasts."""

    LASTS = "lasts"
    NEVER_RUNS_OUT = "never runs out"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True, kw_only=True)
class Autonomy:
    """How long the battery lasts from full.

    Parameters
    ----------
    verdict, verdict_with_charging : AutonomyVerdict
        Without any charging, and with the chargers of the day plan.
    days, days_with_charging : float or None
        Days [day] from full to the usable depth; None when it never runs out or
        cannot be told.
    capacity_ah : float or None
        As given [Ah].
    usable_depth : Sourced or None
        Usable part of the capacity [-] with its source.
    usable_ah : float or None
        Capacity times usable depth [Ah].
    law : BatteryLaw or None
        The battery as the year runs it; None when capacity or chemistry is not known.
    use_ah : float
        Known daily use of the loads [Ah/day].
    rate_ah : float
        What the battery loses on top to currents above its rated one [Ah/day].
    rest_ah : float
        What it loses at rest [Ah/day].
    net_ah : float
        Use and both losses, less charge [Ah/day].
    missing : tuple of Missing
        What must be filled in to tell.
    """

    verdict: AutonomyVerdict
    verdict_with_charging: AutonomyVerdict
    days: float | None
    days_with_charging: float | None
    capacity_ah: float | None
    usable_depth: Sourced | None
    usable_ah: float | None
    law: BatteryLaw | None
    use_ah: float
    rate_ah: float
    rest_ah: float
    net_ah: float
    missing: tuple[Missing, ...]

    @property
    def lost_ah(self) -> float:
        """To fast use and at rest [Ah/day]."""
        return self.rate_ah + self.rest_ah


def autonomy(*, balance: DailyBalance, battery: Battery) -> Autonomy:
    """Tell how many days the battery lasts from full.

    Parameters
    ----------
    balance : DailyBalance
        The day's use and charge.
    battery : Battery
        The battery that carries it.

    Returns
    -------
    Autonomy
        Days without any charging and days with the plan's chargers; "cannot
        tell", with what is missing, when capacity, usable depth or any use is
        not known.  An unknown charger only clouds the second figure.

    Notes
    -----
    ``days = C d / drain`` and ``C d / (drain - charge)``; with charge at least equal
    to the drain the battery does not run out on a mean day, nor where nothing draws.
    The drain is the use of the loads, what Peukert's law in rated hours adds to the mean
    current of each state, and the loss at rest, all as in the year; without a known
    chemistry it is the use alone.  The rate effect is that of the loads on their own,
    also while a charger would carry some of them.  A run of dull days can
    still empty it: see :mod:`~electrical.core.energy.year`.

    Examples
    --------
    >>> from electrical.core.energy.balance import daily_balance
    >>> from electrical.core.energy.day import DayPlan, Load
    >>> plan = DayPlan(hours_by_state={"at anchor": 24.0})
    >>> lamp = Load(load_id="1", label="Lamp", current_a=2.0, duty_by_state={"at anchor": 0.5})
    >>> bank = Battery(capacity_ah=96.0, chemistry=None, usable_depth=0.5)
    >>> autonomy(balance=daily_balance(plan=plan, loads=[lamp], battery=bank), battery=bank).days
    2.0
    """
    depth = _usable_depth(battery)
    usable_ah = None
    if depth is not None and battery.capacity_ah is not None:
        usable_ah = battery.capacity_ah * depth.value
    found = battery_law(battery)
    law = found if isinstance(found, BatteryLaw) else None
    rate_ah = 0.0 if law is None else _rate_ah(balance, law)
    rest_ah = 0.0 if law is None else law.rest_ah_day
    drain_ah = balance.use_ah + rate_ah + rest_ah if balance.use_ah else 0.0
    net_ah = drain_ah - balance.charge_ah
    is_use_known = balance.is_use_complete
    verdict, days = _days(usable_ah, drain_ah, is_known=is_use_known)
    is_all_known = is_use_known and balance.is_charge_complete
    verdict_with, days_with = _days(usable_ah, net_ah, is_known=is_all_known)
    return Autonomy(
        verdict=verdict,
        verdict_with_charging=verdict_with,
        days=days,
        days_with_charging=days_with,
        capacity_ah=battery.capacity_ah,
        usable_depth=depth,
        usable_ah=usable_ah,
        law=law,
        use_ah=balance.use_ah,
        rate_ah=rate_ah,
        rest_ah=rest_ah,
        net_ah=net_ah,
        missing=(*_battery_gaps(battery), *balance.missing),
    )


def _rate_ah(balance: DailyBalance, law: BatteryLaw) -> float:
    hours = balance.hours_by_state
    return math.fsum(
        law.rate_loss_a(use_ah / hours[state]) * hours[state]
        for state, use_ah in balance.use_by_state_ah.items()
        if hours[state] > 0.0
    )


def _usable_depth(battery: Battery) -> Sourced | None:
    if battery.usable_depth is not None:
        return Sourced(
            battery.usable_depth, SourceStatus.SECOND_HAND, "as entered for this battery"
        )
    known = convention(battery.chemistry)
    return None if known is None else known.usable_depth


def _battery_gaps(battery: Battery) -> list[Missing]:
    gaps = []
    if battery.capacity_ah is None:
        gaps.append(Missing("Battery", "capacity"))
    if _usable_depth(battery) is None:
        gaps.append(Missing("Battery", "chemistry or usable depth"))
    return gaps


def _days(
    usable_ah: float | None, net_ah: float, *, is_known: bool
) -> tuple[AutonomyVerdict, float | None]:
    if usable_ah is None or not is_known:
        return AutonomyVerdict.CANNOT_TELL, None
    if net_ah <= 0.0:
        return AutonomyVerdict.NEVER_RUNS_OUT, None
    return AutonomyVerdict.LASTS, usable_ah / net_ah
