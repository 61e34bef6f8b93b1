"""Circuits of a job as the core's circuits."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

from catalogue.models import (
    CableData,
    ChargingSourceData,
    Part,
    RegulatorData,
    SolarPanelData,
    SwitchData,
)
from catalogue.models.electrical_data import ChargingKind, LoadFunction, ProtectionKind
from electrical.adapters.curves import curve_of_maker
from electrical.adapters.loads import current_of, function_of, load_of
from electrical.adapters.numbers import number, system_v
from electrical.adapters.places import place_of
from electrical.adapters.points import in_series, switch_of
from electrical.adapters.routes import Run, route_of
from electrical.core.design import Circuit as CoreCircuit
from electrical.core.design import CircuitRole as CoreRole
from electrical.core.design import DropClass
from electrical.core.parts import Cable, CableConstruction, DeviceType, Load, Protection, Switch
from electrical.core.protection import BREAKERS
from electrical.core.sizes import ConductorSize
from electrical.facts import Facts, record_of
from electrical.models import Circuit, CircuitRole, Device

CORE_ROLES = {
    CircuitRole.LOAD: CoreRole.LOAD,
    CircuitRole.FEEDER: CoreRole.FEEDER,
    CircuitRole.SOURCE: CoreRole.SOURCE,
    CircuitRole.CHARGING: CoreRole.CHARGING,
    CircuitRole.STARTING: CoreRole.STARTING,
    CircuitRole.CONVERTER: CoreRole.LOAD,
}
DEVICE_TYPES = {
    ProtectionKind.BLADE: DeviceType.BLADE,
    ProtectionKind.BLADE_HIGH: DeviceType.MAXI_BLADE,
    ProtectionKind.STRIP_M5: DeviceType.STRIP_M5,
    ProtectionKind.STRIP_M8: DeviceType.STRIP_M8,
    ProtectionKind.CUBE: DeviceType.CUBE,
    ProtectionKind.CLASS_T: DeviceType.CLASS_T,
    ProtectionKind.CYLINDRICAL: DeviceType.CYLINDRICAL,
    ProtectionKind.BREAKER_PANEL: DeviceType.PANEL_BREAKER,
    ProtectionKind.BREAKER_THERMAL: DeviceType.SURFACE_BREAKER,
}
STRANDS = {1: CableConstruction.SOLID, 2: CableConstruction.STRANDED, 5: CableConstruction.FLEXIBLE}

#: Critical uses: main feeders, blowers, electronics and navigation lights; alarms and radios
#: are held to the same.
CRITICAL_FUNCTIONS = frozenset(
    {
        LoadFunction.NAV_LIGHT,
        LoadFunction.BLOWER,
        LoadFunction.NAVIGATION,
        LoadFunction.RADIO,
        LoadFunction.ALARM,
    }
)
CRITICAL_ROLES = frozenset({CircuitRole.FEEDER, CircuitRole.SOURCE})
FUNCTION_WORDS = {
    LoadFunction.NAV_LIGHT: "navigation lights",
    LoadFunction.BILGE_PUMP: "pumps",
    LoadFunction.PUMP: "pumps",
    LoadFunction.BLOWER: "bilge blower",
    LoadFunction.LIGHT: "cabin and instrument lights",
    LoadFunction.WINCH: "positive mains",
    LoadFunction.ENGINE: "starting circuit",
}
ACCESSORY_WORDS = "accessory / common feed"
MAINS_WORDS = "positive mains"


def function_words(facts: Facts, circuit: Circuit) -> str:
    """The row of the colour code that holds for a circuit."""
    if circuit.role == CircuitRole.STARTING:
        return FUNCTION_WORDS[LoadFunction.ENGINE]
    if circuit.role != CircuitRole.LOAD:
        return MAINS_WORDS
    for device in facts.loads_of(circuit):
        return FUNCTION_WORDS.get(LoadFunction(function_of(device) or "accessory"), ACCESSORY_WORDS)
    return ACCESSORY_WORDS


def cable_of(part: Part | None, *, in_parallel: int = 1) -> Cable | None:
    data = getattr(part, "cabledata", None)
    if not isinstance(data, CableData):
        return None
    return Cable(
        size=size_of(data),
        insulation_c=data.insulation_c,
        tinned=data.tinned,
        construction=STRANDS.get(data.strand_class, CableConstruction.FLEXIBLE),
        sheathed=data.sheathed,
        max_r_ohm_per_km=number(data.max_r_ohm_per_km),
        in_parallel=in_parallel,
        colour=data.colour,
        cores=data.cores,
    )


def size_of(data: CableData) -> ConductorSize:
    if data.size_mm2 is not None:
        return ConductorSize(mm2=float(data.size_mm2))
    return ConductorSize(awg=data.size_awg)


def protection_of(
    facts: Facts, part: Part | None, *, distance_m: Decimal | None, at: Device | None
) -> Protection | None:
    data = getattr(part, "protectivedevicedata", None)
    if part is None or data is None:
        return None
    device = DEVICE_TYPES[ProtectionKind(data.device)]
    return Protection(
        rating_a=float(data.rating_a),
        device=device,
        breaking_capacity_a=number(data.breaking_capacity_a),
        rated_v=float(data.rated_v),
        distance_m=number(distance_m),
        place=place_of(at.zone, facts.job.vessel) if at else None,
        ignition_protected=part.ignition_protected,
        curve=curve_of_maker(data.time_current, data.curve_source, melts=device not in BREAKERS),
    )


def switch_in(facts: Facts, circuit: Circuit) -> Switch | None:
    for device in facts.in_line(circuit):
        return switch_of(facts, device)
    data = getattr(circuit.switch, "switchdata", None)
    if circuit.switch is None or not isinstance(data, SwitchData):
        return None
    return Switch(
        label=circuit.switch.description,
        continuous_a=number(data.continuous_a),
        intermittent_a=number(data.intermittent_a),
        cranking_a=number(data.cranking_a),
        poles=data.poles,
        ignition_protected=circuit.switch.ignition_protected,
    )


def drop_class_of(facts: Facts, circuit: Circuit) -> DropClass:
    functions = {function_of(device) for device in facts.loads_of(circuit)}
    is_critical = circuit.role in CRITICAL_ROLES or bool(functions & CRITICAL_FUNCTIONS)
    return DropClass.CRITICAL if is_critical else DropClass.GENERAL


def is_charger_input(circuit: Circuit, end: Device | None) -> bool:
    """A lead into a DC-DC charger, as opposed to one out of it."""
    record = record_of(end) if end else None
    return isinstance(record, ChargingSourceData) and circuit.role != CircuitRole.STARTING


def is_panel_lead(end: Device | None) -> bool:
    return end is not None and isinstance(record_of(end), RegulatorData)


def circuit_of(facts: Facts, circuit: Circuit, runs: Mapping[int, Run]) -> CoreCircuit:
    end, run = facts.far_point(circuit), runs[circuit.pk]
    loads = _loads(facts, circuit, end, run)
    return CoreCircuit(
        id=str(circuit.pk),
        label=circuit.label,
        from_id=str(circuit.origin_id),
        to_id=str(end.pk) if end is not None and not loads else None,
        role=_core_role(circuit, end),
        nominal_v=nominal_v(facts, circuit),
        cable=cable_of(circuit.cable, in_parallel=circuit.in_parallel),
        route=route_of(facts, circuit, run),
        protection=protection_of(
            facts,
            circuit.protection,
            distance_m=circuit.protection_distance_m,
            at=facts.origin_of(circuit),
        ),
        protection_at_end=protection_of(
            facts, circuit.end_protection, distance_m=circuit.protection_distance_m, at=end
        ),
        switch=switch_in(facts, circuit),
        loads=loads,
        drop_class=drop_class_of(facts, circuit),
        drop_limit_pct=number(circuit.drop_limit_pct),
        always_live=circuit.always_live,
        max_current_a=_max_current_a(facts, circuit),
        function=function_words(facts, circuit),
    )


def _core_role(circuit: Circuit, end: Device | None) -> CoreRole:
    """A lead of an emergency switch that does not reach one yet is a circuit without a load."""
    if circuit.role == CircuitRole.LINK:
        return CoreRole.LINK if end is not None else CoreRole.LOAD
    return CORE_ROLES[CircuitRole(circuit.role)]


def nominal_v(facts: Facts, circuit: Circuit) -> float:
    """Panel leads keep their own voltage; everything else belongs to a system."""
    origin = facts.origin_of(circuit)
    panel = record_of(origin)
    if isinstance(panel, SolarPanelData):
        return in_series(facts, origin) * float(panel.vmp_v or panel.voc_v)
    return system_v(circuit.nominal_v)


def _loads(facts: Facts, circuit: Circuit, end: Device | None, run: Run) -> tuple[Load, ...]:
    """Leads into DC-DC chargers and regulators are computed as loads of their circuit."""
    if end is not None and is_charger_input(circuit, end):
        return (load_of(facts, end),)
    if end is not None and is_panel_lead(end):
        return (_panel_load(facts, circuit, end),)
    if end is not None:
        return ()
    return tuple(
        replace(load_of(facts, device), position_m=_position_m(run, device))
        for device in facts.loads_of(circuit)
    )


def _position_m(run: Run, device: Device) -> float | None:
    """Where along the run it is connected; None at the far end."""
    if not run.order or run.order[-1] == device.pk:
        return None
    return (run.positions_m or {}).get(device.pk)


def _panel_load(facts: Facts, circuit: Circuit, regulator: Device) -> Load:
    panel = record_of(facts.device_by_id[circuit.origin_id])
    current_a = float(panel.isc_a) if isinstance(panel, SolarPanelData) else None
    return Load(
        id=str(regulator.pk),
        label=f"{regulator.label} {regulator.name}",
        current_a=current_a,
        continuous=True,
        has_sparks=False,
        place=place_of(regulator.zone, facts.job.vessel),
    )


def _max_current_a(facts: Facts, circuit: Circuit) -> float | None:
    """What a charging source can push into its lead, or an emergency switch may carry where
    nobody knows the start; other leads carry what hangs on them."""
    if circuit.role == CircuitRole.LINK:
        end = facts.far_point(circuit)
        switch = record_of(end) if end is not None else None
        return number(switch.continuous_a) if isinstance(switch, SwitchData) else None
    record = record_of(facts.origin_of(circuit))
    if circuit.role != CircuitRole.CHARGING:
        return None
    if isinstance(record, ChargingSourceData | RegulatorData):
        return float(record.output_a)
    return float(record.isc_a) if isinstance(record, SolarPanelData) else None


def origin_current_a(facts: Facts, circuit: Circuit) -> float | None:
    """Sum of the running currents of a load circuit [A], for lists; None when not known."""
    currents = [current_of(device) for device in facts.loads_of(circuit)]
    if not currents or any(current is None for current in currents):
        return None
    return sum(current for current in currents if current is not None)


def is_dcdc(device: Device) -> bool:
    record = record_of(device)
    return isinstance(record, ChargingSourceData) and record.source == ChargingKind.DCDC
