"""Everything the checks need to know of a job, read in a constant number of queries."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property

from catalogue.models import (
    DATA_BY_KIND,
    DataDeviceData,
    ElectricalData,
    LoadData,
    PartKind,
    SwitchData,
)
from electrical.core.energy.profiles import UseProfile as Day
from electrical.core.tables.data_backbone import LOAD_UNIT_A
from electrical.day_plans import day_from
from electrical.models import (
    Bond,
    Circuit,
    CircuitDevice,
    CircuitRole,
    Device,
    DutyOverride,
    Earthing,
    HomePort,
    UseProfile,
)
from fitout.jobs.models import CablewayNode, CablewaySegment, Job, Zone

DEVICE_KINDS = frozenset(
    {
        PartKind.LOAD,
        PartKind.BATTERY,
        PartKind.CHARGING_SOURCE,
        PartKind.SOLAR_PANEL,
        PartKind.REGULATOR,
        PartKind.CONVERTER,
        PartKind.INVERTER,
        PartKind.BUSBAR,
        PartKind.BOARD,
        PartKind.OUTLET,
        PartKind.DATA_DEVICE,
        PartKind.SWITCH,
        PartKind.DATA_CABLE,
    }
)
"""Cable, fuses and terminals come from the circuits; of data cable only the power feed counts."""
RECORD_NAMES = {kind: model.__name__.lower() for kind, model in DATA_BY_KIND.items()}
DEVICE_RECORDS = tuple(
    f"line__part__{name}" for kind, name in RECORD_NAMES.items() if kind in DEVICE_KINDS
)
CIRCUIT_RELATED = (
    "cable__cabledata",
    "protection__protectivedevicedata",
    "end_protection__protectivedevicedata",
    "switch__switchdata",
)

#: Points a circuit may start from or end at; everything else is a load or sits in the run.
POINT_KINDS = frozenset(
    {
        PartKind.BATTERY,
        PartKind.CHARGING_SOURCE,
        PartKind.SOLAR_PANEL,
        PartKind.REGULATOR,
        PartKind.CONVERTER,
        PartKind.BOARD,
        PartKind.BUSBAR,
    }
)


def is_point_on(circuit: Circuit, device: Device) -> bool:
    """An engine with an alternator is a load on its starting circuit, a source elsewhere;
    an emergency parallel switch is where the leads from its batteries end."""
    if device.kind == PartKind.SWITCH:
        return circuit.role == CircuitRole.LINK and is_parallel_switch(device)
    if device.kind not in POINT_KINDS:
        return False
    is_load_circuit = circuit.role in (CircuitRole.LOAD, CircuitRole.STARTING)
    return not (is_load_circuit and load_record_of(device) is not None)


def record_of(device: Device) -> ElectricalData | None:
    """The typed electrical record of a device's part, None when it has not been filled in."""
    part = device.line.part
    name = RECORD_NAMES.get(device.kind)
    return getattr(part, name, None) if part is not None and name else None


def load_record_of(device: Device) -> LoadData | None:
    """Of a load, and of a data device or an engine that also has a supply of its own."""
    part = device.line.part
    record = getattr(part, "loaddata", None) if part is not None else None
    return record if isinstance(record, LoadData) else None


def is_parallel_switch(device: Device) -> bool:
    """Whether it joins two batteries in an emergency."""
    record = record_of(device) if device.kind == PartKind.SWITCH else None
    return isinstance(record, SwitchData) and record.is_emergency_parallel


@dataclass(frozen=True)
class Facts:
    job: Job
    zones: tuple[Zone, ...]
    nodes: tuple[CablewayNode, ...]
    segments: tuple[CablewaySegment, ...]
    devices: tuple[Device, ...]
    circuits: tuple[Circuit, ...]
    members: dict[int, tuple[int, ...]]
    """Device keys by circuit, in order from the origin."""
    profiles: tuple[UseProfile, ...]
    """Empty where nobody has told how the vessel is used."""
    duty_overrides: dict[tuple[int, str], float] = field(default_factory=dict)
    home_port: HomePort | None = None
    earthing: Earthing | None = None
    bonds: tuple[Bond, ...] = ()

    @cached_property
    def days(self) -> tuple[Day, ...]:
        """The use profiles as the core takes them."""
        return tuple(day_from(profile) for profile in self.profiles)

    @cached_property
    def plan_h(self) -> dict[str, float]:
        """Hours of each state over a day of each profile; empty where nobody has told any."""
        return {
            state: float(sum(day.states.count(state) for day in self.days))
            for state in sorted({state for day in self.days for state in day.states})
        }

    @cached_property
    def device_by_id(self) -> dict[int, Device]:
        return {device.pk: device for device in self.devices}

    @cached_property
    def zone_by_id(self) -> dict[int, Zone]:
        return {zone.pk: zone for zone in self.zones}

    @cached_property
    def circuit_by_id(self) -> dict[int, Circuit]:
        return {circuit.pk: circuit for circuit in self.circuits}

    @cached_property
    def fed_by(self) -> dict[int, tuple[Circuit, ...]]:
        """Circuits a device is on, by device."""
        found: dict[int, list[Circuit]] = defaultdict(list)
        for circuit in self.circuits:
            for device_id in self.members.get(circuit.pk, ()):
                found[device_id].append(circuit)
        return {device_id: tuple(circuits) for device_id, circuits in found.items()}

    @cached_property
    def starting_at(self) -> dict[int, tuple[Circuit, ...]]:
        """Circuits by the device they start from."""
        found: dict[int, list[Circuit]] = defaultdict(list)
        for circuit in self.circuits:
            found[circuit.origin_id].append(circuit)
        return {device_id: tuple(circuits) for device_id, circuits in found.items()}

    def origin_of(self, circuit: Circuit) -> Device:
        return self.device_by_id[circuit.origin_id]

    def devices_of(self, circuit: Circuit) -> tuple[Device, ...]:
        return tuple(
            self.device_by_id[pk]
            for pk in self.members.get(circuit.pk, ())
            if pk in self.device_by_id
        )

    def in_line(self, circuit: Circuit) -> tuple[Device, ...]:
        """Isolators fitted in the run itself."""
        return tuple(
            d
            for d in self.devices_of(circuit)
            if d.kind == PartKind.SWITCH and not is_point_on(circuit, d)
        )

    def ends_of(self, circuit: Circuit) -> tuple[Device, ...]:
        """Everything on a circuit but the isolators in its run."""
        between = self.in_line(circuit)
        return tuple(d for d in self.devices_of(circuit) if d not in between)

    def far_point(self, circuit: Circuit) -> Device | None:
        """The board, busbar, battery or converter a circuit ends at; None when it feeds loads."""
        points = [d for d in self.devices_of(circuit) if is_point_on(circuit, d)]
        return points[-1] if points else None

    def loads_of(self, circuit: Circuit) -> tuple[Device, ...]:
        return tuple(
            d
            for d in self.devices_of(circuit)
            if not is_point_on(circuit, d) and d.kind != PartKind.SWITCH
        )

    def of_kind(self, *kinds: str) -> tuple[Device, ...]:
        return tuple(device for device in self.devices if device.kind in kinds)


def backbone_current_a(devices: Iterable[Device]) -> float | None:
    """What the devices on the data backbone draw from its power feed [A]; None when one of
    them is not told."""
    units = [backbone_units(device) for device in devices if device.kind == PartKind.DATA_DEVICE]
    known = [each for each in units if each is not None]
    return sum(known) * LOAD_UNIT_A if len(known) == len(units) else None


def backbone_units(device: Device) -> int | None:
    """Load units a device takes from the backbone: none with a supply of its own."""
    record = record_of(device)
    if not isinstance(record, DataDeviceData):
        return None
    return record.load_units if record.bus_powered else 0


def with_backbone_feed(devices: tuple[Device, ...]) -> tuple[Device, ...]:
    """Tell each power feed of the backbone its share of what hangs on it."""
    feeds = [device for device in devices if device.kind == PartKind.DATA_CABLE]
    current_a = backbone_current_a(devices)
    for feed in feeds:
        feed.fed_current_a = None if current_a is None else current_a / len(feeds)
    return devices


def load_facts(job: Job) -> Facts:
    members: dict[int, list[int]] = defaultdict(list)
    for circuit_id, device_id in CircuitDevice.objects.filter(circuit__job=job).values_list(
        "circuit_id", "device_id"
    ):
        members[circuit_id].append(device_id)
    return Facts(
        job=job,
        zones=tuple(Zone.objects.filter(vessel_id=job.vessel_id)),
        nodes=tuple(CablewayNode.objects.filter(vessel_id=job.vessel_id)),
        segments=tuple(CablewaySegment.objects.filter(vessel_id=job.vessel_id)),
        devices=with_backbone_feed(
            tuple(
                Device.objects.filter(job=job).select_related("zone", "line__part", *DEVICE_RECORDS)
            )
        ),
        circuits=tuple(Circuit.objects.filter(job=job).select_related(*CIRCUIT_RELATED)),
        members={circuit_id: tuple(ids) for circuit_id, ids in members.items()},
        profiles=tuple(UseProfile.objects.filter(job=job).prefetch_related("spans")),
        duty_overrides={
            (override.device_id, override.state): float(override.duty)
            for override in DutyOverride.objects.filter(device__job=job)
        },
        home_port=HomePort.objects.filter(job=job).first(),
        earthing=Earthing.objects.filter(job=job).first(),
        bonds=tuple(Bond.objects.filter(job=job)),
    )
