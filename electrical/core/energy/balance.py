"""Daily amp-hours by operating state: what is used, what comes back.

The first question of every fit-out: will the battery last?  A day plan says how
many hours the vessel spends in each operating state; a load says what it draws
when on and for what part of each state it is on.  Their product is the day's
use.  What charges the battery is worked out apart and shown apart, so that the
plain answer (days with no charging at all) is never hidden by an optimistic one.

Computing is :func:`daily_balance`; judging is
:func:`~electrical.core.energy.autonomy.autonomy`.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from electrical.core.energy.battery import acceptance, charge_efficiency
from electrical.core.energy.chemistry import convention
from electrical.core.energy.day import Battery, Charger, ChargerKind, DayPlan, Load, Missing

__all__ = [
    "ChargeRow",
    "DailyBalance",
    "LoadRow",
    "daily_balance",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadRow:
    """Daily use of one load.

    Parameters
    ----------
    load_id, label : str
        As given.
    battery_current_a : float or None
        Current at the battery while all of them are on [A].
    ah_by_state : Mapping of str to (float or None)
        Amp-hours [Ah/day] in each state of the plan; None where not known.
    total_ah : float or None
        Their sum [Ah/day]; None when any part is not known.
    """

    load_id: str
    label: str
    battery_current_a: float | None
    ah_by_state: Mapping[str, float | None]
    total_ah: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargeRow:
    """Daily charge from one charger.

    Parameters
    ----------
    charger_id, label : str
        As given.
    kind : ChargerKind
        As given.
    current_a : float or None
        Current after the battery's acceptance limit [A], in the state in which that
        leaves least; None for solar and when not known.
    is_limited_by_battery : bool
        True when the battery's acceptance cut the charger's current, alone or together
        with the others that charge in the same state.
    delivered_ah : float or None
        Amp-hours into the battery [Ah/day]; None when not known.
    stored_ah : float or None
        Amp-hours that come out again, after charge efficiency [Ah/day].
    """

    charger_id: str
    label: str
    kind: ChargerKind
    current_a: float | None
    is_limited_by_battery: bool
    delivered_ah: float | None
    stored_ah: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DailyBalance:
    """The day's use and charge.

    Parameters
    ----------
    states : tuple of str
        States of the plan, in its order.
    hours_by_state : Mapping of str to float
        Hours [h] in each.
    rows : tuple of LoadRow
        One per load, in the order given.
    charge_rows : tuple of ChargeRow
        One per charger, in the order given.
    use_by_state_ah : Mapping of str to float
        Known use in each state [Ah/day].
    use_ah : float
        Known use of the day [Ah/day]; a lower bound when `missing` is not empty.
    charge_ah : float
        Known charge of the day that comes out again [Ah/day].
    missing : tuple of Missing
        What is not known.
    """

    states: tuple[str, ...]
    hours_by_state: Mapping[str, float]
    rows: tuple[LoadRow, ...]
    charge_rows: tuple[ChargeRow, ...]
    use_by_state_ah: Mapping[str, float]
    use_ah: float
    charge_ah: float
    missing: tuple[Missing, ...]

    @property
    def is_use_complete(self) -> bool:
        """True when the use of every load is known."""
        return all(row.total_ah is not None for row in self.rows)

    @property
    def is_charge_complete(self) -> bool:
        """True when the charge from every charger is known."""
        return all(row.stored_ah is not None for row in self.charge_rows)


def daily_balance(
    *, plan: DayPlan, loads: Sequence[Load], battery: Battery, chargers: Sequence[Charger] = ()
) -> DailyBalance:
    """Work out the day's use by load and state, and the day's charge by charger.

    Parameters
    ----------
    plan : DayPlan
        Hours [h] in each operating state.
    loads : Sequence of Load
        What draws from the battery.
    battery : Battery
        Its nominal voltage refers every load to it; its acceptance and charge
        efficiency limit the chargers.
    chargers : Sequence of Charger, optional
        What charges it.

    Returns
    -------
    DailyBalance
        Every row, the sums, and what is missing.

    Notes
    -----
    For load *k* in state *s*: ``Ah = I V_load / (V_batt eta) n d_s h_s``.
    Charge that comes out again is the charge put in times the charge
    efficiency.  Charging current is capped by what the battery accepts, that of
    chargers in the same state together in proportion; with the acceptance not known
    the charge is not known either.  Tapering near full is left out here and treated in
    :mod:`~electrical.core.energy.year`.

    Examples
    --------
    A 4 A refrigerator on 40 % of the day:

    >>> plan = DayPlan(hours_by_state={"at anchor": 24.0})
    >>> fridge = Load(load_id="1", label="Refrigerator", current_a=4.0,
    ...               duty_by_state={"at anchor": 0.4})
    >>> bank = Battery(capacity_ah=200.0, chemistry=None)
    >>> round(daily_balance(plan=plan, loads=[fridge], battery=bank).use_ah, 3)
    38.4
    """
    rows = tuple(_load_row(plan, load, battery) for load in loads)
    limit = acceptance(battery)
    limit_a = None if limit is None else limit.value
    parts = _accepted_parts(plan, chargers, limit_a)
    charge_rows = tuple(
        _charge_row(plan, charger, battery, limit_a=limit_a, parts=parts) for charger in chargers
    )
    missing = [gap for load in loads for gap in _load_gaps(plan, load)]
    missing += [gap for charger in chargers for gap in _charger_gaps(plan, charger, battery)]
    use_by_state_ah = {
        state: math.fsum(row.ah_by_state[state] or 0.0 for row in rows)
        for state in plan.hours_by_state
    }
    return DailyBalance(
        states=tuple(plan.hours_by_state),
        hours_by_state=dict(plan.hours_by_state),
        rows=rows,
        charge_rows=charge_rows,
        use_by_state_ah=use_by_state_ah,
        use_ah=math.fsum(use_by_state_ah.values()),
        charge_ah=math.fsum(row.stored_ah or 0.0 for row in charge_rows),
        missing=tuple(missing),
    )


def _load_row(plan: DayPlan, load: Load, battery: Battery) -> LoadRow:
    current_a = _current_at_battery_a(load, battery)
    ah_by_state: dict[str, float | None] = {}
    for state, hours_h in plan.hours_by_state.items():
        duty = load.duty_by_state.get(state, 0.0)
        if duty == 0.0 or hours_h == 0.0:
            ah_by_state[state] = 0.0
        elif duty is None or current_a is None:
            ah_by_state[state] = None
        else:
            ah_by_state[state] = current_a * duty * hours_h
    return LoadRow(
        load_id=load.load_id,
        label=load.label,
        battery_current_a=current_a,
        ah_by_state=ah_by_state,
        total_ah=_sum_or_none(ah_by_state.values()),
    )


def _current_at_battery_a(load: Load, battery: Battery) -> float | None:
    if load.current_a is None or load.conversion_efficiency is None:
        return None
    load_v = battery.nominal_v if load.nominal_v is None else load.nominal_v
    ratio = load_v / (battery.nominal_v * load.conversion_efficiency)
    return load.current_a * load.quantity * ratio


def _load_gaps(plan: DayPlan, load: Load) -> list[Missing]:
    in_plan = [s for s, hours_h in plan.hours_by_state.items() if hours_h > 0.0]
    duties = {s: load.duty_by_state.get(s, 0.0) for s in in_plan}
    gaps = [Missing(load.label, f"duty in {s}") for s, duty in duties.items() if duty is None]
    if any(duty != 0.0 for duty in duties.values()):
        needed = {
            "current": load.current_a,
            "efficiency of the converter that feeds it": load.conversion_efficiency,
        }
        gaps[:0] = [Missing(load.label, name) for name, value in needed.items() if value is None]
    return gaps


def _charge_row(
    plan: DayPlan,
    charger: Charger,
    battery: Battery,
    *,
    limit_a: float | None,
    parts: Mapping[str, float],
) -> ChargeRow:
    current_a, is_limited = None, False
    if charger.kind is ChargerKind.SOLAR:
        delivered_ah = _solar_ah(charger, battery)
    else:
        alone_a = _alone_a(charger, limit_a)
        delivered_ah = _running_ah(plan, charger, alone_a, parts)
        if alone_a is not None:
            least = min((parts[s] for s in plan.hours_by_state if _duty(charger, s)), default=1.0)
            current_a = alone_a * least
            is_limited = current_a < (charger.current_a or 0.0)
    efficiency = charge_efficiency(battery)
    stored_ah = None
    if delivered_ah is not None and efficiency is not None:
        stored_ah = delivered_ah * efficiency.value
    return ChargeRow(
        charger_id=charger.charger_id,
        label=charger.label,
        kind=charger.kind,
        current_a=current_a,
        is_limited_by_battery=is_limited,
        delivered_ah=delivered_ah,
        stored_ah=stored_ah,
    )


def _alone_a(charger: Charger, limit_a: float | None) -> float | None:
    """What the battery accepts of one charger; None when not known."""
    if charger.current_a is None or limit_a is None:
        return None
    return min(charger.current_a, limit_a)


def _duty(charger: Charger, state: str) -> float | None:
    return (charger.duty_by_state or {}).get(state, 0.0)


def _accepted_parts(
    plan: DayPlan, chargers: Sequence[Charger], limit_a: float | None
) -> dict[str, float]:
    """Part of what chargers bring in each state that the battery accepts of all together."""
    parts = dict.fromkeys(plan.hours_by_state, 1.0)
    steady = [charger for charger in chargers if charger.kind is not ChargerKind.SOLAR]
    for state in parts:
        offered_a = math.fsum(
            (_alone_a(charger, limit_a) or 0.0) * (_duty(charger, state) or 0.0)
            for charger in steady
        )
        if limit_a is not None and offered_a > limit_a:
            parts[state] = limit_a / offered_a
    return parts


def _running_ah(
    plan: DayPlan, charger: Charger, current_a: float | None, parts: Mapping[str, float]
) -> float | None:
    brought: list[float | None] = []
    for state, hours_h in plan.hours_by_state.items():
        duty = _duty(charger, state)
        if duty == 0.0 or hours_h == 0.0:
            continue
        is_known = duty is not None and current_a is not None
        brought.append(
            current_a * duty * hours_h * parts[state] if is_known else None  # type: ignore[operator]
        )
    return _sum_or_none(brought)


def _solar_ah(charger: Charger, battery: Battery) -> float | None:
    if charger.peak_w is None or charger.irradiation_kwh_m2_day is None:
        return None
    return charger.peak_w * charger.irradiation_kwh_m2_day * charger.derate / battery.nominal_v


def _charger_gaps(plan: DayPlan, charger: Charger, battery: Battery) -> list[Missing]:
    if charger.kind is ChargerKind.SOLAR:
        needed = {
            "panel power": charger.peak_w,
            charger.irradiation_missing: charger.irradiation_kwh_m2_day,
        }
    else:
        duties = {s: _duty(charger, s) for s, hours_h in plan.hours_by_state.items() if hours_h}
        if all(duty == 0.0 for duty in duties.values()):
            return []
        needed = {charger.current_missing: charger.current_a} | {
            f"duty in {state}": duty for state, duty in duties.items()
        }
    gaps = [Missing(charger.label, name) for name, value in needed.items() if value is None]
    if charge_efficiency(battery) is None:
        gaps.append(Missing("Battery", "chemistry or charge efficiency"))
    is_steady = charger.kind is not ChargerKind.SOLAR
    if is_steady and battery.acceptance_a is None and convention(battery.chemistry) is None:
        gaps.append(Missing("Battery", "chemistry or largest charging current"))
    return gaps


def _sum_or_none(values: Iterable[float | None]) -> float | None:
    known = list(values)
    if any(value is None for value in known):
        return None
    return math.fsum(value for value in known if value is not None)
