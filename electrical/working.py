"""The working of one circuit: every intermediate value, its formula and where it is printed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from catalogue.models import PartKind
from electrical.adapters.design import STATE_LABELS
from electrical.adapters.loads import (
    ASSUMED_PEAK_S,
    ASSUMED_USE_S,
    CHARGING_ASSUMED,
    LOWEST_ASSUMED,
    charger_input_words,
    current_of,
    lowest_input,
)
from electrical.adapters.routes import Run
from electrical.check import Checked
from electrical.core.design import Circuit as CoreCircuit
from electrical.core.design import Design, DropClass
from electrical.core.drop import closed_formulas
from electrical.core.faults import converter_fault, source_fault
from electrical.core.findings import RuleSet
from electrical.core.parts import ASSUMED_START_S
from electrical.core.results import (
    AmpacityResult,
    CircuitResult,
    CurrentResult,
    DropResult,
    FaultResult,
    ResistanceResult,
)
from electrical.core.runs import ambient_c
from electrical.core.status import Clause
from electrical.core.tables import cfr183_425, grouping, iso10133
from electrical.core.tables.constants import (
    ALPHA_CLAUSE,
    ALPHA_CU_20_PER_K,
    ISO_DROP_CLAUSE,
    ISO_DROP_LIMIT_CLAUSE,
    ISO_DROP_OHM_MM2_PER_M,
    US_DROP_CLAUSE,
    US_DROP_K_OHM_CMIL_PER_FT,
    US_DROP_LIMIT_CLAUSE,
)
from electrical.models import Circuit, CircuitRole, Device
from fitout.kit.text import in_thousands

NBSP = "\N{NO-BREAK SPACE}"
PRACTICE = "common practice, no source"
FOLLOWS = "from the lines above"
PARTS = "data of the parts"
#: Times taken where nobody tells how long a motor starts, or a peak lasts [s].
ASSUMED_TIMES_S = (ASSUMED_START_S, ASSUMED_PEAK_S, ASSUMED_USE_S)
START_ASSUMED = (
    f"its time where not told is taken as {ASSUMED_START_S:g} s for a motor, "
    f"{ASSUMED_PEAK_S:g} s for an inverter, {ASSUMED_USE_S:g} s for anything else ({PRACTICE})"
)
NETWORK = "all circuits solved together, each state by itself"


@dataclass(frozen=True)
class Behind:
    """One source of a fault current, with what it gives at its own terminals."""

    name: str
    value: str
    why: str
    status: str


@dataclass(frozen=True)
class Step:
    name: str
    formula: str
    value: str
    source: str = ""
    behind: tuple[Behind, ...] = ()
    """What it is put together from."""


@dataclass(frozen=True)
class Section:
    title: str
    steps: tuple[Step, ...]


def working_of(checked: Checked, circuit: Circuit) -> list[Section]:
    """Sections in the order of computing; a section whose data is missing is left out."""
    result, run = checked.result_of(circuit), checked.runs[circuit.pk]
    sections = [Section("Length of the run", length_steps(run))]
    if result is None or checked.design is None:
        return [section for section in sections if section.steps]
    design = checked.design
    core = next((c for c in design.circuits if c.id == str(circuit.pk)), None)
    if result.currents is not None:
        how = SOLVED if circuit.role == CircuitRole.LINK else SUMMED
        steps = (*_inputs(checked, circuit), *_currents(result.currents, how))
        sections.append(Section("Current", steps))
    if result.ampacity is not None:
        air_c = _air_c(design, core)
        sections.append(Section("What the conductor may carry", _ampacities(result, air_c)))
    if result.resistance is not None and run.length_m is not None:
        steps = _resistance(result.resistance, run.length_m, design, core)
        sections.append(Section("Resistance", steps))
    if result.drop is not None:
        end = end_word(circuit, checked.facts.devices_of(circuit))
        sections.append(Section("Voltage drop", _drop(result.drop, design, core, end)))
    if result.fault is not None:
        sections.append(Section("Fault current", _fault(result.fault, design)))
    return [section for section in sections if section.steps]


def _with(value: float | None, unit: str, places: int = 2) -> str:
    return "not known" if value is None else f"{in_thousands(f'{value:.{places}f}')}{NBSP}{unit}"


def _cited(clause: Clause) -> str:
    return f"{clause} ({clause.status.value})"


def _state(state_id: str) -> str:
    return STATE_LABELS.get(state_id, state_id)


def _air_c(design: Design, core: CoreCircuit | None) -> float:
    route = core.route if core else None
    own = route.ambient_c if route else None
    return design.ambient_c if own is None else own


def length_steps(run: Run) -> tuple[Step, ...]:
    if run.length_m is None:
        return ()
    if run.is_measured:
        return (Step("Length one way", "measured by hand", _with(run.length_m, "m"), "as entered"),)
    along = sum(way.along_m for way in run.ways if way.segment_ids)
    direct = sum(way.along_m for way in run.ways if not way.segment_ids)
    tails = sum(way.first_tail_m + way.last_tail_m for way in run.ways)
    slack = sum(way.slack_m for way in run.ways)
    return (
        *_path(along, tails, direct),
        Step("Slack and making off", "5 % and 0.15 m each end", _with(slack, "m"), PRACTICE),
        Step("Length one way", "sum of these", _with(run.length_m, "m"), FOLLOWS),
    )


def _path(along_m: float, tails_m: float, direct_m: float) -> Iterator[Step]:
    """A run that goes straight there uses no cableway."""
    if along_m > 0:
        yield Step("Along cableways", "shortest way", _with(along_m, "m"), "hull plan")
        how = "square along the hull"
        yield Step("To and from the cableways", how, _with(tails_m, "m"), "hull plan")
    if direct_m > 0:
        how = "square along the hull, shorter than to a cableway and back"
        yield Step("Beside the cableways", how, _with(direct_m, "m"), "hull plan")


def _inputs(checked: Checked, circuit: Circuit) -> Iterator[Step]:
    """Inverters and DC-DC chargers draw most at their lowest input voltage."""
    for device in checked.facts.devices_of(circuit):
        lowest, current_a = lowest_input(device), current_of(device)
        if lowest is None or current_a is None:
            continue
        source = PARTS if lowest.is_told else f"lowest input voltage taken as {LOWEST_ASSUMED}"
        charging = charger_input_words(device)
        at_nominal = charging or f"{current_a:.2f} A at {lowest.nominal_v:g} V"
        source += f"; {CHARGING_ASSUMED}" if charging else ""
        yield Step(
            f"Input of {device.label} at its lowest voltage",
            f"{at_nominal} × {lowest.nominal_v:g} ÷ {lowest.volts:g} V",
            _with(current_a * lowest.nominal_v / lowest.volts, "A"),
            source,
        )


#: How the current of a run comes about, and from what.
SUMMED = ("sum of what is on", PARTS)
SOLVED = ("the switch closed, the battery it helps empty", NETWORK)


def _currents(currents: CurrentResult, how: tuple[str, str]) -> tuple[Step, ...]:
    steps = [
        Step(f"Current {_state(state)}", how[0], _with(amperes, "A"), how[1])
        for state, amperes in currents.by_state_a.items()
        if amperes > 0.0
    ]
    worst = f"worst state: {_state(currents.worst_state_id)}"
    steps.append(Step("Largest current", worst, _with(currents.design_a, "A"), FOLLOWS))
    if currents.continuous_a > 0.0:
        hours = _with(currents.continuous_a, "A")
        steps.append(Step("For hours on end", "what runs for hours, worst state", hours, PARTS))
    if currents.start_a is not None:
        lasts = f"one start or peak while the rest runs, {currents.start_s:g} s"
        source = f"{PARTS}; {START_ASSUMED}" if currents.start_s in ASSUMED_TIMES_S else PARTS
        steps.append(Step("At a start or peak", lasts, _with(currents.start_a, "A", 0), source))
    return tuple(steps)


def _ampacities(result: CircuitResult, air_c: float) -> tuple[Step, ...]:
    verdict = result.ampacity
    if verdict is None:
        return ()
    steps = _ampacity(verdict.deciding, "deciding", air_c)
    if verdict.compared is not None:
        steps += _ampacity(verdict.compared, "compared with", air_c)
    return steps


def _ampacity(found: AmpacityResult, word: str, air_c: float) -> tuple[Step, ...]:
    is_us = found.clause.source == cfr183_425.CLAUSE.source
    table, engine = cfr183_425.CLAUSE, cfr183_425.engine_space_factor(found.column_c)[1]
    if not is_us:
        table, engine = iso10133.CLAUSE, iso10133.ENGINE_CLAUSE
    heat = min(found.engine_factor, found.ambient_factor)
    factors = f"{found.table_a:g} × {heat:.3g} × {found.group_factor:g}"
    if found.in_parallel > 1:
        factors += f" × {found.in_parallel} in parallel"
    size = f"{found.size_label}, {found.column_c} °C insulation"
    grouped = f"{found.grouped_conductors} loaded conductors together"
    steps = [
        Step(f"Table value, {word}", size, _with(found.table_a, "A", 1), _cited(table)),
        Step(
            "Engine-space factor",
            "1 outside engine spaces",
            f"{found.engine_factor:.2f}",
            _cited(engine),
        ),
    ]
    if found.ambient_factor < 1.0:
        warm = f"√(({found.column_c} − {air_c:g}) ÷ ({found.column_c} − {iso10133.AMBIENT_C:g}))"
        steps.append(Step("Warm-air factor", warm, f"{found.ambient_factor:.2f}", PRACTICE))
        factors += "; the smaller of the two counts"
    return (
        *steps,
        Step("Grouping factor", grouped, f"{found.group_factor:.2f}", _cited(grouping.CLAUSE)),
        Step(f"May carry here, {word}", factors, _with(found.corrected_a, "A", 1), FOLLOWS),
    )


def _resistance(
    found: ResistanceResult, length_m: float, design: Design, core: CoreCircuit | None
) -> tuple[Step, ...]:
    alpha, temp_c = ALPHA_CU_20_PER_K, found.conductor_temp_c
    hot = f"{found.r20_ohm_per_km:g} × (1 + {alpha} × ({temp_c:.0f} − 20))"
    loop = f"2 × {length_m:.2f} m × {found.r_ohm_per_km:.4g} Ω/km ÷ 1000"
    if core and core.cable and core.cable.in_parallel > 1:
        loop += f" ÷ {core.cable.in_parallel} in parallel"
    size, warms = "", "by load and air"
    if core and core.cable:
        size, air_c = core.cable.size.label, ambient_c(design, core)
        rise = f"({core.cable.insulation_c:g} − {air_c:g})"
        warms = f"{air_c:g} + {rise} × (largest current ÷ what it may carry)²"
    return (
        Step(
            "Largest resistance at 20 °C",
            f"one conductor, {size}",
            f"{found.r20_ohm_per_km:.4g}{NBSP}Ω/km",
            _cited(found.clause),
        ),
        Step("Conductor temperature", warms, _with(temp_c, "°C", 0), PRACTICE),
        Step("Resistance hot", hot, f"{found.r_ohm_per_km:.4g}{NBSP}Ω/km", _cited(ALPHA_CLAUSE)),
        Step("Both conductors", loop, f"{found.loop_r_ohm * 1000:.3g}{NBSP}mΩ", FOLLOWS),
    )


#: What a run ends at, where that is no device that uses the power.
END_WORDS = {
    PartKind.BOARD: "board",
    PartKind.BUSBAR: "busbar",
    PartKind.BATTERY: "battery",
    PartKind.CONVERTER: "converter",
    PartKind.CHARGING_SOURCE: "charger",
    PartKind.REGULATOR: "regulator",
    PartKind.INVERTER: "inverter",
}


def end_word(circuit: Circuit, ends: Iterable[Device]) -> str:
    if circuit.role == CircuitRole.STARTING:
        return "engine"
    words = {END_WORDS.get(PartKind(d.kind), "device") for d in ends if d.kind != PartKind.SWITCH}
    return words.pop() if len(words) == 1 else "device"


def _drop(
    found: DropResult, design: Design, core: CoreCircuit | None, end: str
) -> tuple[Step, ...]:
    volts = core.nominal_v if core else 12.0
    solved = NETWORK if found.method == "network" else "this run alone; the rest as it was"
    left = f"{volts:g} V at the source less the drop"
    limit, printed = _drop_limit(found, design, core)
    worst = f"worst state: {_state(found.state_id)}"
    share = f"{found.total_v:.3f} ÷ {volts:g} × 100"
    return (
        Step("Current", worst, _with(found.current_a, "A"), solved),
        Step("In this run", "current × both conductors", _with(found.own_v, "V", 3), FOLLOWS),
        Step(
            "Before this run",
            "the same for every run ahead",
            _with(found.upstream_v, "V", 3),
            solved,
        ),
        Step(f"Source to {end}", "sum of both", _with(found.total_v, "V", 3), FOLLOWS),
        Step("Deciding drop", share, _with(found.total_pct, "%"), FOLLOWS),
        Step("Limit", limit, _with(found.limit_pct, "%", 1), printed),
        Step(f"Left at the {end}", left, _with(found.device_v, "V"), FOLLOWS),
        *_closed_formulas(found, core),
    )


def _drop_limit(found: DropResult, design: Design, core: CoreCircuit | None) -> tuple[str, str]:
    if core is not None and core.drop_limit_pct is not None:
        return "for this circuit", "the workshop's own, as entered"
    is_critical = core is not None and core.drop_class is DropClass.CRITICAL
    kind = "for critical circuits" if is_critical else "for general circuits"
    is_iso = design.rule_set is RuleSet.ISO
    return kind, _cited(ISO_DROP_LIMIT_CLAUSE if is_iso else US_DROP_LIMIT_CLAUSE)


def _closed_formulas(found: DropResult, core: CoreCircuit | None) -> Iterator[Step]:
    closed = closed_formulas(core, current_a=found.nominal_a) if core else None
    if closed is None:
        return
    alone = "to compare, this run alone"
    iso = f"{ISO_DROP_OHM_MM2_PER_M} × current × length there and back ÷ size; {alone}"
    us = f"{US_DROP_K_OHM_CMIL_PER_FT} × current × feet there and back ÷ circular mils; {alone}"
    yield Step("ISO formula", iso, _with(closed.iso_pct, "%"), _cited(ISO_DROP_CLAUSE))
    yield Step("US formula", us, _with(closed.us_pct, "%"), _cited(US_DROP_CLAUSE))


def _behind(found: FaultResult, design: Design) -> Iterator[Behind]:
    """Sources a fault current was reckoned with, by the words that tell of each."""
    sources = [(source.label, source_fault(source)) for source in design.sources]
    outputs = [(converter.label, converter_fault(converter)) for converter in design.converters]
    for label, fault in sources + outputs:
        if fault is not None and fault.assumption in found.assumptions:
            why = fault.assumption.removeprefix(f"{label}: ")
            yield Behind(label, _with(fault.terminal_a, "A", 0), why, fault.status.value)


def _fault(found: FaultResult, design: Design) -> tuple[Step, ...]:
    has_link = bool(design.links)
    closed = ", the emergency switch closed" if has_link else ""
    sources = f"data of the sources ({found.status.value})"
    steps = [
        Step(
            "At the protective device",
            f"dead short, cables cold, every source that reaches it{closed}",
            _with(found.at_start_a, "A", 0),
            sources,
            tuple(_behind(found, design)),
        )
    ]
    if found.at_end_a is not None:
        through = (
            "what is sure to flow: batteries alone, open-circuit voltage ÷ (that voltage ÷ their "
            f"current at the device, leads ahead hot{', the emergency switch open,' if has_link else ''} + both "
            "conductors hot); without a battery no more than the sources limit themselves to"
        )
        steps.append(Step("At the far end", through, _with(found.at_end_a, "A", 0), FOLLOWS))
    return tuple(steps)
