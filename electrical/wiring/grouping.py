"""Which loads share a circuit. Common practice, no source.

Lights of one zone share a circuit, navigation lights that are shown together share one,
outlets of one zone share one, alike accessories of one line share one, each up to `GROUP_MAX_A`. Everything else has its own.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from catalogue.models import DataCableData, InverterData, LoadData, OutletData, PartKind
from catalogue.models.electrical_data import LoadFunction
from electrical.adapters.loads import current_of, duties_of, function_of
from electrical.adapters.numbers import system_v
from electrical.facts import Facts, load_record_of, record_of
from electrical.models import Device

GROUP_MAX_A = 10.0
BACKBONE_V = 12.0
POWERED = frozenset({PartKind.LOAD, PartKind.OUTLET, PartKind.INVERTER, PartKind.DATA_CABLE})
#: Pieces of one line, such as a pair of wipers, share a circuit when they serve one of these.
SHARED_FUNCTIONS = frozenset({LoadFunction.ACCESSORY, LoadFunction.HEATING})


@dataclass(frozen=True, kw_only=True)
class LoadGroup:
    name: str
    devices: tuple[Device, ...]
    volts: float
    current_a: float | None
    function: str
    always_live: bool
    continuous: bool

    @property
    def least_rating_a(self) -> float | None:
        """Smallest rating that carries it: a load that runs for hours is kept to 80 %."""
        if self.current_a is None:
            return None
        return self.current_a / 0.8 if self.continuous else self.current_a


def needs_power(device: Device) -> bool:
    if device.kind in (PartKind.DATA_DEVICE, PartKind.CHARGING_SOURCE):
        return load_record_of(device) is not None
    return device.kind in POWERED


def load_v(device: Device) -> float | None:
    record = load_record_of(device) or record_of(device)
    if isinstance(record, LoadData | OutletData):
        return system_v(record.nominal_v)
    if isinstance(record, InverterData):
        return system_v(record.input_v)
    if isinstance(record, DataCableData):
        return BACKBONE_V
    return None


def grouped(facts: Facts, devices: Iterable[Device]) -> list[LoadGroup]:
    """Groups in the order of their first device; a full group starts another."""
    open_groups: dict[tuple[object, ...], list[Device]] = {}
    done: list[list[Device]] = []
    for device in devices:
        key = _key(facts, device)
        members = open_groups.get(key)
        if members is None or _sum_a([*members, device]) > GROUP_MAX_A:
            members = open_groups[key] = []
            done.append(members)
        members.append(device)
    return [_group(facts, members) for members in done]


def _key(facts: Facts, device: Device) -> tuple[object, ...]:
    record, function = record_of(device), function_of(device)
    if function == LoadFunction.LIGHT:
        return ("light", device.zone_id, load_v(device))
    if function == LoadFunction.NAV_LIGHT:
        return ("nav", load_v(device), tuple(sorted(duties_of(facts, device).items())))
    if isinstance(record, OutletData):
        return ("outlet", device.zone_id, load_v(device))
    if function in SHARED_FUNCTIONS:
        return ("line", device.line_id)
    return ("own", device.pk)


def _sum_a(devices: list[Device]) -> float:
    return sum(current_of(device) or 0.0 for device in devices)


def _group(facts: Facts, members: list[Device]) -> LoadGroup:
    currents = [current_of(device) for device in members]
    loads = [record for record in map(load_record_of, members) if record is not None]
    known = [current for current in currents if current is not None]
    return LoadGroup(
        name=_name(facts, members),
        devices=tuple(members),
        volts=load_v(members[0]) or 12.0,
        current_a=sum(known) if len(known) == len(currents) else None,
        function=function_of(members[0]),
        always_live=any(load.always_live for load in loads),
        continuous=any(load.continuous for load in loads),
    )


def _name(facts: Facts, members: list[Device]) -> str:
    first = members[0]
    if len(members) == 1:
        return first.short_name[:120]
    names = {device.short_name for device in members}
    zone = facts.zone_by_id[first.zone_id].name if first.zone_id in facts.zone_by_id else ""
    if len(names) == 1:
        return f"{names.pop()[:90]}, {len(members)} off, {zone}"[:120]
    if function_of(first) == LoadFunction.NAV_LIGHT:
        return f"Navigation lights {_when(facts, first)}"
    kind = "Outlets" if first.kind == PartKind.OUTLET else "Lights"
    return f"{kind}, {zone}"


def _when(facts: Facts, device: Device) -> str:
    duties = duties_of(facts, device)
    return "at anchor" if not duties.get("under_way_night") else "under way"
