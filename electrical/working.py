"""The working of one circuit: every intermediate value, its formula and where it is printed."""

from dataclasses import dataclass

from electrical.adapters.routes import Run
from electrical.check import Checked
from electrical.core.design import Circuit as CoreCircuit
from electrical.core.results import (
    AmpacityResult,
    CircuitResult,
    CurrentResult,
    DropResult,
    FaultResult,
    ResistanceResult,
)
from electrical.core.status import Clause
from electrical.models import Circuit, OperatingState

NBSP = "\N{NO-BREAK SPACE}"
PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Step:
    name: str
    formula: str
    value: str
    source: str = ""


@dataclass(frozen=True)
class Section:
    title: str
    steps: tuple[Step, ...]


def working_of(checked: Checked, circuit: Circuit) -> list[Section]:
    """Sections in the order of computing; a section whose data is missing is left out."""
    result, run = checked.result_of(circuit), checked.runs[circuit.pk]
    sections = [Section("Length of the run", _length(run))]
    if result is None or checked.design is None:
        return [section for section in sections if section.steps]
    core = next((c for c in checked.design.circuits if c.id == str(circuit.pk)), None)
    if result.currents is not None:
        sections.append(Section("Current", _currents(result.currents)))
    if result.ampacity is not None:
        sections.append(Section("What the conductor may carry", _ampacities(result)))
    if result.resistance is not None and run.length_m is not None:
        sections.append(Section("Resistance", _resistance(result.resistance, run.length_m, core)))
    if result.drop is not None:
        sections.append(Section("Voltage drop", _drop(result.drop, core)))
    if result.fault is not None:
        sections.append(Section("Fault current", _fault(result.fault)))
    return [section for section in sections if section.steps]


def _with(value: float | None, unit: str, places: int = 2) -> str:
    return "not known" if value is None else f"{value:.{places}f}{NBSP}{unit}"


def _cited(clause: Clause) -> str:
    return f"{clause} ({clause.status.value})"


def _state(state_id: str) -> str:
    labels: dict[str, str] = dict(OperatingState.choices)
    return labels.get(state_id, state_id).lower()


def _length(run: Run) -> tuple[Step, ...]:
    if run.length_m is None:
        return ()
    if run.is_measured:
        return (Step("Length one way", "measured by hand", _with(run.length_m, "m")),)
    along = sum(way.along_m for way in run.ways)
    tails = sum(way.first_tail_m + way.last_tail_m for way in run.ways)
    slack = sum(way.slack_m for way in run.ways)
    return (
        Step("Along cableways", "shortest way", _with(along, "m"), "hull plan"),
        Step("To and from the cableways", "square along the hull", _with(tails, "m"), "hull plan"),
        Step("Slack and making off", "5 % and 0.15 m each end", _with(slack, "m"), PRACTICE),
        Step("Length one way", "sum of these", _with(run.length_m, "m")),
    )


def _currents(currents: CurrentResult) -> tuple[Step, ...]:
    steps = [
        Step(f"Current {_state(state)}", "sum of what is on", _with(amperes, "A"), "parts")
        for state, amperes in currents.by_state_a.items()
        if amperes > 0.0
    ]
    worst = _state(currents.worst_state_id)
    steps.append(Step("Largest current", f"worst state: {worst}", _with(currents.design_a, "A")))
    if currents.continuous_a > 0.0:
        steps.append(Step("For hours on end", "continuous part", _with(currents.continuous_a, "A")))
    if currents.start_a is not None:
        lasts = f"one motor starts, {currents.start_s:g} s"
        steps.append(Step("While a motor starts", lasts, _with(currents.start_a, "A", 0)))
    return tuple(steps)


def _ampacities(result: CircuitResult) -> tuple[Step, ...]:
    verdict = result.ampacity
    if verdict is None:
        return ()
    steps = _ampacity(verdict.deciding, "deciding")
    if verdict.compared is not None:
        steps += _ampacity(verdict.compared, "compared with")
    return steps


def _ampacity(found: AmpacityResult, word: str) -> tuple[Step, ...]:
    factors = f"{found.table_a:g} × {found.engine_factor:g} × {found.group_factor:g}"
    if found.in_parallel > 1:
        factors += f" × {found.in_parallel}"
    return (
        Step(
            f"Table value, {word}",
            f"{found.size_label}, {found.column_c} °C insulation",
            _with(found.table_a, "A", 1),
            _cited(found.clause),
        ),
        Step("Engine-space factor", "1 outside engine spaces", f"{found.engine_factor:.2f}"),
        Step(
            "Grouping factor",
            f"{found.grouped_conductors} loaded conductors together",
            f"{found.group_factor:.2f}",
        ),
        Step(f"May carry here, {word}", factors, _with(found.corrected_a, "A", 1)),
    )


def _resistance(
    found: ResistanceResult, length_m: float, core: CoreCircuit | None
) -> tuple[Step, ...]:
    size = core.cable.size.label if core and core.cable else ""
    hot = f"{found.r20_ohm_per_km:g} × (1 + 0.00393 × ({found.conductor_temp_c:.0f} − 20))"
    loop = f"2 × {length_m:.2f} m × {found.r_ohm_per_km:.4g} Ω/km ÷ 1000"
    return (
        Step(
            "Largest resistance at 20 °C",
            f"one conductor, {size}",
            f"{found.r20_ohm_per_km:.4g}{NBSP}Ω/km",
            _cited(found.clause),
        ),
        Step(
            "Conductor temperature", "by load and ambient", _with(found.conductor_temp_c, "°C", 0)
        ),
        Step("Resistance hot", hot, f"{found.r_ohm_per_km:.4g}{NBSP}Ω/km"),
        Step("Both conductors", loop, f"{found.loop_r_ohm * 1000:.3g}{NBSP}mΩ"),
    )


def _drop(found: DropResult, core: CoreCircuit | None) -> tuple[Step, ...]:
    volts = core.nominal_v if core else 12.0
    method = "whole network solved" if found.method == "network" else "along the tree"
    steps = [
        Step("Current", f"worst state: {_state(found.state_id)}", _with(found.current_a, "A")),
        Step("In this run", "current × both conductors", _with(found.own_v, "V", 3)),
        Step("Before this run", method, _with(found.upstream_v, "V", 3)),
        Step("Source to device", "sum of both", _with(found.total_v, "V", 3)),
        Step("Deciding drop", f"of {volts:g} V", _with(found.total_pct, "%")),
        Step("Limit", "for this kind of circuit", _with(found.limit_pct, "%", 1)),
        Step("Left at the device", "", _with(found.device_v, "V")),
    ]
    if found.iso_pct is not None:
        formula = "0.0164 × current × length there and back ÷ size; to compare, this run alone"
        steps.append(Step("ISO 10133 formula", formula, _with(found.iso_pct, "%")))
    if found.us_pct is not None:
        formula = (
            "10.75 × current × feet there and back ÷ circular mils; to compare, this run alone"
        )
        steps.append(Step("US formula", formula, _with(found.us_pct, "%")))
    return tuple(steps)


def _fault(found: FaultResult) -> tuple[Step, ...]:
    status = found.status.value
    assumed = "; ".join(found.assumptions)
    steps = [Step("At the protective device", assumed, _with(found.at_start_a, "A", 0), status)]
    if found.at_end_a is not None:
        steps.append(
            Step("At the far end", "through both conductors", _with(found.at_end_a, "A", 0))
        )
    return tuple(steps)
