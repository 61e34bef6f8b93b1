"""Sources, boards and converters of a job as points of the core's design."""

from catalogue.models import (
    BatteryData,
    BoardData,
    BusbarData,
    ChargingSourceData,
    ConverterData,
    PartKind,
    RegulatorData,
    SolarPanelData,
    SwitchData,
)
from catalogue.models import electrical_data as records
from electrical.adapters.numbers import fraction, number, system_v
from electrical.adapters.places import place_of
from electrical.core import parts as core_parts
from electrical.core.faults import FULL_BATTERY_FACTOR
from electrical.core.sources import Board, Chemistry, Converter, Source, SourceKind
from electrical.facts import Facts, record_of
from electrical.models import Device

CHEMISTRY = {
    records.Chemistry.FLOODED: Chemistry.FLOODED,
    records.Chemistry.AGM: Chemistry.AGM,
    records.Chemistry.GEL: Chemistry.GEL,
    records.Chemistry.LFP: Chemistry.LFP,
}
CHARGING_KINDS = {
    records.ChargingKind.ALTERNATOR: SourceKind.ALTERNATOR,
    records.ChargingKind.MAINS: SourceKind.CHARGER,
    records.ChargingKind.DCDC: SourceKind.CHARGER,
}


def label_of(device: Device) -> str:
    return f"{device.label} {device.name}"


def sources_of(facts: Facts) -> tuple[Source, ...]:
    made = (_source(facts, device) for device in facts.devices)
    return tuple(source for source in made if source is not None)


def _source(facts: Facts, device: Device) -> Source | None:
    record = record_of(device)
    if isinstance(record, BatteryData):
        return _battery(facts, device, record)
    if isinstance(record, ChargingSourceData):
        return _charger(facts, device, record)
    if isinstance(record, RegulatorData):
        return _solar(facts, device, record.nominal_v, record.output_a)
    if isinstance(record, SolarPanelData):
        return _panel(facts, device, record)
    return None


def _battery(facts: Facts, device: Device, record: BatteryData) -> Source:
    is_lithium = record.chemistry == records.Chemistry.LFP
    return Source(
        id=str(device.pk),
        label=label_of(device),
        kind=SourceKind.BATTERY,
        nominal_v=system_v(record.nominal_v),
        emf_v=FULL_BATTERY_FACTOR * float(record.nominal_v),
        internal_r_ohm=_milli(number(record.internal_resistance_mohm)),
        short_circuit_a=number(record.short_circuit_a),
        cca_a=number(record.cold_cranking_a),
        capacity_ah=float(record.capacity_ah),
        chemistry=CHEMISTRY[records.Chemistry(record.chemistry)],
        management_limit_a=number(record.max_discharge_a) if is_lithium else None,
        fastened=device.held_down,
        sealed=record.chemistry != records.Chemistry.FLOODED,
        place=place_of(device.zone, facts.job.vessel),
        isolator=isolator_of(facts, device),
    )


def _milli(value: float | None) -> float | None:
    return None if value is None else value / 1000.0


def isolator_of(facts: Facts, battery: Device) -> core_parts.Switch | None:
    """The isolator in a lead that starts at this battery."""
    for circuit in facts.starting_at.get(battery.pk, ()):
        for switch in facts.in_line(circuit):
            return switch_of(facts, switch)
    return None


def switch_of(facts: Facts, device: Device) -> core_parts.Switch:
    record = record_of(device)
    data = record if isinstance(record, SwitchData) else None
    return core_parts.Switch(
        id=str(device.pk),
        label=label_of(device),
        continuous_a=number(data.continuous_a) if data else None,
        intermittent_a=number(data.intermittent_a) if data else None,
        cranking_a=number(data.cranking_a) if data else None,
        poles=data.poles if data else None,
        place=place_of(device.zone, facts.job.vessel),
        ignition_protected=is_ignition_protected(device),
    )


def is_ignition_protected(device: Device) -> bool | None:
    return device.line.part.ignition_protected if device.line.part else None


def _charger(facts: Facts, device: Device, record: ChargingSourceData) -> Source:
    """A DC-DC charger is a source on its output side; its input is a load of another circuit."""
    return Source(
        id=str(device.pk),
        label=label_of(device),
        kind=CHARGING_KINDS[records.ChargingKind(record.source)],
        nominal_v=system_v(record.nominal_v),
        max_output_a=float(record.output_a),
        limits_itself=limits_itself(record),
        place=place_of(device.zone, facts.job.vessel),
        ignition_protected=is_ignition_protected(device),
    )


def _solar(facts: Facts, device: Device, nominal_v: object, output_a: object) -> Source:
    return Source(
        id=str(device.pk),
        label=label_of(device),
        kind=SourceKind.SOLAR_REGULATOR,
        nominal_v=system_v(float(str(nominal_v))),
        max_output_a=float(str(output_a)),
        limits_itself=True,
        place=place_of(device.zone, facts.job.vessel),
        ignition_protected=is_ignition_protected(device),
    )


def _panel(facts: Facts, device: Device, record: SolarPanelData) -> Source:
    """A panel's lead is held to its short-circuit current, at the voltage of rated power."""
    return Source(
        id=str(device.pk),
        label=label_of(device),
        kind=SourceKind.SOLAR_REGULATOR,
        nominal_v=in_series(facts, device) * float(record.vmp_v or record.voc_v),
        max_output_a=float(record.isc_a),
        limits_itself=True,
        place=place_of(device.zone, facts.job.vessel),
        ignition_protected=is_ignition_protected(device),
    )


def in_series(facts: Facts, panel: Device) -> int:
    """Panels of the string that shares a panel's lead, itself included."""
    return 1 + sum(other.in_series_with_id == panel.pk for other in facts.devices)


def limits_itself(record: object) -> bool:
    """Whether a charging source can not overload its lead: its maker says so for a charger."""
    if isinstance(record, ChargingSourceData):
        return record.output_limited
    return isinstance(record, RegulatorData | SolarPanelData)


def boards_of(facts: Facts) -> tuple[Board, ...]:
    return tuple(
        Board(
            id=str(device.pk),
            label=label_of(device),
            nominal_v=board_v(facts, device),
            busbar_a=_rated_a(device),
            way_max_a=_way_max_a(device),
            place=place_of(device.zone, facts.job.vessel),
            ignition_protected=is_ignition_protected(device),
        )
        for device in facts.of_kind(PartKind.BOARD, PartKind.BUSBAR)
    )


def _rated_a(device: Device) -> float | None:
    record = record_of(device)
    return float(record.rated_a) if isinstance(record, BoardData | BusbarData) else None


def _way_max_a(device: Device) -> float | None:
    record = record_of(device)
    return number(record.way_max_a) if isinstance(record, BoardData) else None


def board_v(facts: Facts, device: Device) -> float:
    """A board's own voltage; a busbar takes that of the circuits on it, else the main system's."""
    record = record_of(device)
    if isinstance(record, BoardData) and record.nominal_v:
        return system_v(record.nominal_v)
    for circuit in (*facts.fed_by.get(device.pk, ()), *facts.starting_at.get(device.pk, ())):
        return system_v(circuit.nominal_v)
    return main_v(facts)


def main_v(facts: Facts) -> float:
    """Voltage of the house batteries with the largest capacity; 12 V where there is none."""
    volts: dict[float, float] = {}
    for device in facts.of_kind(PartKind.BATTERY):
        record = record_of(device)
        if isinstance(record, BatteryData) and record.use == records.BatteryUse.HOUSE:
            system = system_v(record.nominal_v)
            volts[system] = volts.get(system, 0.0) + float(record.capacity_ah)
    return max(volts, key=lambda v: volts[v], default=12.0)


def converters_of(facts: Facts) -> tuple[Converter, ...]:
    made = []
    for device in facts.of_kind(PartKind.CONVERTER):
        record = record_of(device)
        if isinstance(record, ConverterData):
            made.append(_converter(facts, device, record))
    return tuple(made)


def _converter(facts: Facts, device: Device, record: ConverterData) -> Converter:
    return Converter(
        id=str(device.pk),
        label=label_of(device),
        output_v=system_v(record.output_v),
        efficiency=fraction(record.efficiency_pct),
        max_output_a=float(record.output_a),
        input_cutoff_v=number(record.input_min_v),
        isolated=record.isolated,
        place=place_of(device.zone, facts.job.vessel),
        ignition_protected=is_ignition_protected(device),
    )
