"""Days of autonomy: how long the battery lasts on the day plan."""

from dataclasses import dataclass
from enum import StrEnum

from electrical.core.energy.balance import DailyBalance
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
    use_ah, net_ah : float
        Known daily use, and use less charge [Ah/day].
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
    use_ah: float
    net_ah: float
    missing: tuple[Missing, ...]


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
    ``days = C d / use`` and ``C d / (use - charge)``; with charge at least equal
    to use the battery does not run out on a mean day.  A run of dull days can
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
    net_ah = balance.use_ah - balance.charge_ah
    is_use_known = balance.is_use_complete
    verdict, days = _days(usable_ah, balance.use_ah, is_known=is_use_known)
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
        use_ah=balance.use_ah,
        net_ah=net_ah,
        missing=(*_battery_gaps(battery), *balance.missing),
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
