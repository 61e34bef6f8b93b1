"""Devices that use power as the core's loads, with their current in each operating state."""

from dataclasses import dataclass, replace

from catalogue.models import (
    ChargingSourceData,
    ConverterData,
    DataCableData,
    DataDeviceData,
    InverterData,
    LoadData,
    OutletData,
)
from catalogue.models.electrical_data import ChargingKind, LoadFunction, LoadNature
from electrical.adapters.numbers import fraction, number, system_v
from electrical.adapters.places import place_of
from electrical.adapters.points import is_ignition_protected, label_of
from electrical.core.parts import ASSUMED_START_S, Load, LoadKind
from electrical.core.tables.constants import CHARGING_OVER_NOMINAL
from electrical.facts import Facts, load_record_of, record_of
from electrical.models import Device, OperatingState

KINDS = {
    LoadNature.CONSTANT_POWER: LoadKind.CONSTANT_POWER,
    LoadNature.CONSTANT_CURRENT: LoadKind.CONSTANT_CURRENT,
    LoadNature.RESISTIVE: LoadKind.RESISTIVE,
    LoadNature.MOTOR: LoadKind.CONSTANT_CURRENT,
    LoadNature.MIX: LoadKind.MIX,
}
SPARKING = (LoadNature.MOTOR, LoadNature.RESISTIVE)
#: An engine turns its alternator in these, so what charges from it draws its current.
ENGINE_RUNS = (
    OperatingState.UNDER_WAY_DAY,
    OperatingState.UNDER_WAY_NIGHT,
    OperatingState.WORKING,
)


def duties_of(facts: Facts, device: Device) -> dict[str, float]:
    """Share of time on by operating state: the part's own, unless set for this device."""
    record = load_record_of(device) or record_of(device)
    if isinstance(record, DataCableData):
        return _feed_duties(facts, device)
    duties = {}
    for state in OperatingState.values:
        own = number(getattr(record, f"duty_{state}", None)) or 0.0
        duties[state] = facts.duty_overrides.get((device.pk, state), own)
    return duties


def _feed_duties(facts: Facts, device: Device) -> dict[str, float]:
    """The backbone is on whenever the vessel is under way or at work. Common practice, no source."""
    return {
        state: facts.duty_overrides.get((device.pk, state), 1.0 if state in ENGINE_RUNS else 0.0)
        for state in OperatingState.values
    }


def current_of(device: Device) -> float | None:
    """Running current at the device's nominal voltage [A]; None when not known."""
    record = load_record_of(device) or record_of(device)
    if isinstance(record, LoadData):
        return float(record.current_a)
    if isinstance(record, OutletData):
        return float(record.typical_a or record.rated_a)
    if isinstance(record, InverterData):
        efficiency = fraction(record.efficiency_pct)
        return float(record.output_w) / float(record.input_v) / efficiency if efficiency else None
    if isinstance(record, DataCableData):
        return device.fed_current_a
    if isinstance(record, ChargingSourceData):
        return _charger_input_a(record)
    if isinstance(record, ConverterData):
        efficiency = fraction(record.efficiency_pct)
        output_w = float(record.output_a) * float(record.output_v)
        return output_w / float(record.input_v) / efficiency if efficiency else None
    return None


#: Taken where a maker does not tell the lowest input voltage: a 12 V lead-acid battery that
#: is as good as empty [V]. Common practice, no source.
LOWEST_PER_12V = 10.5
LOWEST_ASSUMED = "10.5 V for each 12 V of the system (common practice, no source)"


@dataclass(frozen=True)
class LowestInput:
    """The voltage at which an inverter or DC-DC charger draws most."""

    volts: float
    nominal_v: float
    is_told: bool


def lowest_input(device: Device) -> LowestInput | None:
    """None for what is not wired for its lowest input voltage."""
    record = record_of(device)
    if not isinstance(record, InverterData | ChargingSourceData):
        return None
    if isinstance(record, ChargingSourceData) and record.source != ChargingKind.DCDC:
        return None
    nominal_v, told_v = number(record.input_v), number(record.input_min_v)
    if nominal_v is None:
        return None
    assumed_v = min(system_v(nominal_v) * LOWEST_PER_12V / 12.0, nominal_v)
    volts = assumed_v if told_v is None else told_v
    return LowestInput(volts, nominal_v, is_told=told_v is not None)


def _wired_for_a(device: Device) -> float | None:
    """What its cable and device are chosen for: converters draw most at their lowest input."""
    current_a, lowest = current_of(device), lowest_input(device)
    if current_a is None or lowest is None:
        return current_a
    return current_a * lowest.nominal_v / lowest.volts


def _charger_input_a(record: ChargingSourceData) -> float | None:
    efficiency = fraction(record.efficiency_pct)
    if not efficiency or not record.input_v:
        return None
    charging_v = float(record.nominal_v) * CHARGING_OVER_NOMINAL
    return float(record.output_a) * charging_v / float(record.input_v) / efficiency


CHARGING_ASSUMED = f"charging at {CHARGING_OVER_NOMINAL:g} × nominal (common practice, no source)"


def charger_input_words(device: Device) -> str:
    """How the input current of a DC-DC charger comes about at its nominal input voltage; empty
    for anything else."""
    record = record_of(device)
    if not isinstance(record, ChargingSourceData) or _charger_input_a(record) is None:
        return ""
    charging_v = float(record.nominal_v) * CHARGING_OVER_NOMINAL
    efficiency, input_v = fraction(record.efficiency_pct), number(record.input_v)
    return f"{float(record.output_a):g} A × {charging_v:g} V ÷ {efficiency:g} ÷ {input_v:g} V"


def load_of(facts: Facts, device: Device) -> Load:
    record = load_record_of(device) or record_of(device)
    base = Load(
        id=str(device.pk),
        label=label_of(device),
        current_a=_wired_for_a(device),
        current_a_by_state=currents_by_state(facts, device),
        place=place_of(device.zone, facts.job.vessel),
        ignition_protected=is_ignition_protected(device),
        has_sparks=isinstance(record, OutletData),
    )
    lowest = None if isinstance(record, LoadData) else lowest_input(device)
    if lowest is not None:
        min_v = lowest.volts if lowest.is_told else None
        steady = replace(
            base,
            kind=LoadKind.CONSTANT_CURRENT,
            min_working_v=min_v,
            continuous=isinstance(record, ChargingSourceData),  # for hours on a long run
        )
        return _with_peak(steady, record, lowest) if isinstance(record, InverterData) else steady
    return _with_nature(base, record) if isinstance(record, LoadData) else base


#: How long an inverter gives its peak power, where its maker does not tell [s]. Common practice,
#: no source.
ASSUMED_PEAK_S = 5.0


def _with_peak(load: Load, record: InverterData, lowest: LowestInput) -> Load:
    """An inverter draws its peak, for its short time, at the lowest input voltage."""
    efficiency, peak_w = fraction(record.efficiency_pct), number(record.peak_w)
    if not efficiency or peak_w is None:
        return load
    peak_s = number(record.peak_s) or ASSUMED_PEAK_S
    return replace(load, start_current_a=peak_w / efficiency / lowest.volts, start_s=peak_s)


#: How long the peak of what is no motor lasts, where its maker does not tell [s]: a radio sends,
#: an amplifier plays. Common practice, no source.
ASSUMED_USE_S = 60.0


def _with_nature(base: Load, record: LoadData) -> Load:
    is_motor = record.nature == LoadNature.MOTOR
    return Load(
        id=base.id,
        label=base.label,
        current_a=base.current_a,
        current_a_by_state=base.current_a_by_state,
        place=base.place,
        ignition_protected=base.ignition_protected,
        kind=KINDS[LoadNature(record.nature)],
        resistive_share=fraction(record.resistive_pct) or 0.0,
        start_current_a=number(record.locked_rotor_a or record.peak_a),
        start_s=number(record.start_s) or (ASSUMED_START_S if is_motor else ASSUMED_USE_S),
        is_motor=is_motor,
        continuous=record.continuous,
        min_working_v=number(record.min_v),
        has_sparks=record.nature in SPARKING,
    )


def currents_by_state(facts: Facts, device: Device) -> dict[str, float] | None:
    """Full current in each state in which it may be on; in every state when none is given."""
    current_a = _wired_for_a(device)
    if current_a is None:
        return None
    if load_record_of(device) is None and isinstance(record_of(device), ChargingSourceData):
        return dict.fromkeys(ENGINE_RUNS, current_a)
    duties = duties_of(facts, device)
    on = {state: current_a for state, duty in duties.items() if duty > 0.0}
    return on or None


def function_of(device: Device) -> str:
    """Trade function: of the load itself, else what its kind amounts to."""
    record = load_record_of(device) or record_of(device)
    if isinstance(record, LoadData):
        return record.function
    if isinstance(record, DataDeviceData | DataCableData):
        return LoadFunction.NAVIGATION
    return LoadFunction.ACCESSORY if isinstance(record, OutletData | InverterData) else ""
