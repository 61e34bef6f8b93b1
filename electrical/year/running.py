"""Ask for a job's year, work it out as it is and with one more panel or battery."""

from __future__ import annotations

from dataclasses import asdict, replace
from datetime import datetime
from time import perf_counter
from typing import TYPE_CHECKING, Any

from electrical import worked_out
from electrical.core.energy.chemistry import convention
from electrical.core.errors import CoreError
from electrical.devices import refresh_devices
from electrical.facts import load_facts
from electrical.models import EnergyYear
from electrical.worked_out import CannotWorkOut
from electrical.working import PARTS, PRACTICE
from electrical.year.inputs import Panels, YearInputs, inputs_of
from fitout.jobs.models import Job
from fitout.kit.models import User

if TYPE_CHECKING:
    from electrical.core.energy.battery import BatteryLaw
    from electrical.core.energy.solar import Regulator
    from electrical.core.energy.vessel import EnergyDesign
    from electrical.core.energy.year import YearResult

#: Drawn months each: the standard error of a chance is then 2.2 per cent at most.
DRAWS, SEED = 500, 1
NBSP = "\N{NO-BREAK SPACE}"


def ask_for(job: Job, *, by: User, at: datetime) -> EnergyYear:
    refresh_devices(job, by)
    return worked_out.ask_for(EnergyYear, job, by=by, at=at)


def make(year: EnergyYear, *, now: datetime) -> EnergyYear:
    inputs = inputs_of(load_facts(year.job))
    year.stamp = inputs.stamp
    return worked_out.make(year, lambda: run(inputs), now=now)


def run(inputs: YearInputs, *, draws: int = DRAWS) -> dict[str, Any]:
    """As JSON holds it; `CannotWorkOut` names what is missing or cannot be."""
    if inputs.gaps:
        gaps = "; ".join(gap.words for gap in inputs.gaps)
        raise CannotWorkOut(f"Cannot tell. Missing: {gaps}.")
    begin = perf_counter()
    try:
        found = _run(inputs, draws)
    except CoreError as error:
        raise CannotWorkOut(f"Cannot tell. {error}") from error
    return {**found, "took_s": round(perf_counter() - begin, 2)}


def _run(inputs: YearInputs, draws: int) -> dict[str, Any]:
    from electrical.adapters.year import energy_design
    from electrical.core.energy.vessel import more_battery, more_panels

    design = energy_design(inputs)
    base = _year(design, draws)
    tried = {}
    if design.chargers and design.arrays:
        words = "sun alone, without engine or shore"
        tried["sun"] = {"words": words, "months": _short(replace(design, chargers=()), draws)}
    if design.arrays:
        panel = inputs.panels[0]
        what = "panel" if panel.in_series == 1 else f"string of {panel.in_series} panels"
        words = f"one more {what} of {panel.peak_w:g} W on {panel.regulator}"
        tried["panel"] = {"words": words, "months": _short(more_panels(design), draws)}
    if inputs.battery_ah is not None:
        words = f"one more {inputs.battery_ah:g} Ah battery"
        bigger = more_battery(design, capacity_ah=inputs.battery_ah)
        tried["battery"] = {"words": words, "months": _short(bigger, draws)}
    tried["carried"] = {
        "words": "each month starting as the last ended",
        "months": _short(design, draws, carries_over=True),
    }
    law = base.law
    return {
        "months": [asdict(month) for month in base.months],
        "tried": tried,
        "profiles": [
            {
                "name": one.name,
                "states": list(one.states),
                "days_per_week": one.days_per_week,
                "months": sorted(one.months),
            }
            for one in inputs.profiles
        ],
        "use_ah_day": base.use_ah_day,
        "capacity_ah": law.capacity_ah,
        "floor": law.floor,
        "draws": base.draws,
        "seed": base.seed,
        "sources": [
            *inputs.charging,
            *(
                f"{one.label}, {one.count}: {one.stands}, on {one.regulator}, {one.matching}."
                for one in inputs.panels
            ),
            *(
                f"{name}: {figure.value:g}{unit}, {figure.source} ({figure.status.value})."
                for name, figure, unit in (
                    ("Usable part of the battery", law.usable_depth, ""),
                    ("Largest charging current", law.acceptance_a, f"{NBSP}A"),
                    ("Amp-hours out for each in", law.charge_efficiency, ""),
                    (f"Rate effect over {law.rated_hours:g} h, exponent", law.exponent, ""),
                    ("Coldest it may be charged", law.min_charge_c, f"{NBSP}°C"),
                )
            ),
            *_assumed(inputs, design, law),
        ],
    }


def _assumed(inputs: YearInputs, design: EnergyDesign, law: BatteryLaw) -> list[str]:
    """What is taken where nobody tells it, and on what ground."""
    from electrical.core.energy.solar import CHARGING_OVER_NOMINAL

    told = []
    known = convention(design.battery.chemistry)
    if known is not None:
        rest = known.self_discharge_pct_month
        told.append(
            f"Lost at rest: {rest.value:g}{NBSP}% of the capacity in a month, {rest.source} "
            f"({rest.status.value})."
        )
    told.append(
        f"Charging tapers from {100 * law.taper_from:.0f}{NBSP}% of full, at "
        f"{CHARGING_OVER_NOMINAL:g} × the nominal voltage ({PRACTICE})."
    )
    if design.battery_c is None:
        coldest = f"{law.min_charge_c.value:g}{NBSP}°C"
        told.append(
            "The battery is as warm as the air, at each month's mean: nights below "
            f"{coldest} in a month that is milder on the mean are not seen, and it is charged "
            f"in them; nor are warmer days in a colder one ({PRACTICE})."
        )
    for array, given in zip(design.arrays, inputs.panels, strict=True):
        panels, regulator = array.panels, array.regulator
        told.append(
            f"{panels.label}: {100 * panels.power_coefficient_per_c:g}{NBSP}% of power for each "
            f"°C, cells at {panels.cell_nominal_c:g}{NBSP}°C in 800{NBSP}W/m² and 20{NBSP}°C air "
            f"({PRACTICE}); {regulator.label} gives at most {regulator.max_output_a:.1f}{NBSP}A to "
            f"them{_efficiency_words(regulator, given)}."
        )
    return told


def _efficiency_words(regulator: Regulator, given: Panels) -> str:
    if regulator.kind.name != "TRACKING":
        return ""
    source = f" ({PRACTICE})" if given.efficiency is None else f" ({PARTS})"
    return f" at {100 * regulator.efficiency:g}{NBSP}% efficiency{source}"


def _year(design: EnergyDesign, draws: int, *, carries_over: bool = False) -> YearResult:
    from electrical.core.energy.year import YearResult, run_year

    found = run_year(design, draws=draws, seed=SEED, carries_over=carries_over)
    if isinstance(found, YearResult):
        return found
    gaps = "; ".join(f"{gap.subject}: {gap.field}" for gap in found)
    raise CannotWorkOut(f"Cannot tell. Missing: {gaps}.")


def _short(design: EnergyDesign, draws: int, *, carries_over: bool = False) -> list[dict[str, Any]]:
    """What a change makes of each month, in the same drawn weather."""
    return [
        {"floor_chance": month.floor_chance, "days_to_floor": month.days_to_floor}
        for month in _year(design, draws, carries_over=carries_over).months
    ]
