"""The working of the day's energy: each figure, its formula and where it is printed."""

from __future__ import annotations

from collections.abc import Iterator

from electrical.charging import HouseCharger
from electrical.core.energy.autonomy import AutonomyVerdict
from electrical.core.energy.battery import acceptance, charge_efficiency
from electrical.core.energy.chemistry import Sourced, convention
from electrical.core.energy.day import ChargerKind
from electrical.energy import Energy
from electrical.working import FOLLOWS, NBSP, PARTS, PRACTICE, Step

VERDICTS = {
    AutonomyVerdict.CANNOT_TELL: "cannot tell",
    AutonomyVerdict.NEVER_RUNS_OUT: "does not run out",
}
NOT_ALL_KNOWN = "not all of it is known"
DUTIES = "data of the parts; times as entered, else the part's own"


def steps_of(energy: Energy) -> list[Step]:
    """In the order of computing; a figure that cannot be told says so."""
    return [*_use(energy), *_charge(energy), *_days(energy)]


def _use(energy: Energy) -> Iterator[Step]:
    auto = energy.autonomy
    each = "sum for every device and state: current at the battery × part of the time on × hours"
    yield Step(
        "Used in a day",
        each,
        _least(auto.use_ah, is_complete=energy.balance.is_use_complete),
        DUTIES,
    )
    yield Step("House batteries", "sum of their capacities", _ah(auto.capacity_ah, 0), PARTS)
    depth = auto.usable_depth
    if depth is not None and auto.capacity_ah is not None:
        product = f"{auto.capacity_ah:.0f} × {depth.value:g}"
        yield Step("Usable of them", product, _ah(auto.usable_ah, 0), _cited(depth))


def _charge(energy: Energy) -> Iterator[Step]:
    efficiency = charge_efficiency(energy.battery)
    if efficiency is not None:
        out = "out of the battery for each put in"
        yield Step("Amp-hours back", out, f"{efficiency.value:g}", _cited(efficiency))
    accepted = acceptance(energy.battery)
    if accepted is not None and energy.charging:
        together = "largest charging current, of all chargers running together"
        yield Step("Accepted", together, f"{accepted.value:.1f}{NBSP}A", _cited(accepted))
    for one in energy.charging:
        if one.charger.kind is ChargerKind.SOLAR:
            yield _solar(one, energy)
    running = "sum for every charger: current × hours it runs × amp-hours back, and the sun's"
    charged = _least(energy.balance.charge_ah, is_complete=energy.balance.is_charge_complete)
    yield Step("Charged in a day", running, charged, FOLLOWS)


def _solar(one: HouseCharger, energy: Energy) -> Step:
    charger = one.charger
    sun = charger.irradiation_kwh_m2_day
    if charger.peak_w is None or sun is None:
        return Step("Put in by the sun", one.why.rstrip("."), "not known", "home port; " + PARTS)
    volts = energy.battery.nominal_v
    put_in = charger.peak_w * sun * charger.derate / volts
    words = (
        f"{charger.peak_w:g} W × {sun:.3g} kWh/m² on the panels × {charger.derate:g} ÷ {volts:g} V"
    )
    return Step(
        "Put in by the sun", words, _ah(put_in), f"home port; {charger.derate:g}: {PRACTICE}"
    )


def _losses(energy: Energy) -> Iterator[Step]:
    """What the battery loses besides, as the year counts it."""
    auto, known = energy.autonomy, convention(energy.battery.chemistry)
    law = auto.law
    if law is None or known is None:
        words = "left out: the kind of battery and its capacity tell them"
        yield Step("Lost to fast use and at rest", words, "not known", PRACTICE)
        return
    if law.exponent.value > 1.0:
        formula = (
            "sum for every state: current × hours × ((current ÷ "
            f"{law.rated_a:.1f}{NBSP}A) to the power {law.exponent.value - 1.0:.2g} − 1), where "
            f"the mean current is above that of the {law.rated_hours:g}-hour rating"
        )
    else:
        formula = "none counted"
    yield Step("Lost to fast use", formula, _ah(auto.rate_ah), _cited(law.exponent))
    rest = known.self_discharge_pct_month
    words = f"{rest.value:g}{NBSP}% of {law.capacity_ah:.0f}{NBSP}Ah in 30 days"
    yield Step("Lost at rest", words, _ah(auto.rest_ah), _cited(rest))


def _days(energy: Energy) -> Iterator[Step]:
    auto = energy.autonomy
    if auto.usable_ah is None:
        return
    yield from _losses(energy)
    usable, charge = f"{auto.usable_ah:.0f}", energy.balance.charge_ah
    drain = f"{auto.use_ah:.1f} + {auto.lost_ah:.1f}" if auto.lost_ah else f"{auto.use_ah:.1f}"
    without = f"{usable} ÷ ({drain})" if auto.lost_ah else f"{usable} ÷ {drain}"
    if auto.verdict is AutonomyVerdict.CANNOT_TELL:
        without = NOT_ALL_KNOWN
    yield Step("Without charging", without, _told(auto.verdict, auto.days), FOLLOWS)
    net = f"{drain} − {charge:.1f}"
    answer = _told(auto.verdict_with_charging, auto.days_with_charging)
    if auto.verdict_with_charging is AutonomyVerdict.CANNOT_TELL:
        words = NOT_ALL_KNOWN
    elif auto.verdict_with_charging is AutonomyVerdict.NEVER_RUNS_OUT:
        words = f"{net} is below 0: a mean day gives back what it takes"
    else:
        words = f"{usable} ÷ ({net})"
    yield Step("With charging", words, answer, FOLLOWS)


def _cited(figure: Sourced) -> str:
    return f"{figure.source} ({figure.status.value})"


def _ah(value: float | None, places: int = 1) -> str:
    return "not known" if value is None else f"{value:.{places}f}{NBSP}Ah"


def _least(value: float, *, is_complete: bool) -> str:
    if is_complete:
        return _ah(value)
    return f"at least {_ah(value)}" if value else "not known"


def _told(verdict: AutonomyVerdict, days: float | None) -> str:
    return VERDICTS.get(verdict) or f"{days or 0.0:.1f}{NBSP}days"
