"""Proposals for load circuits: which board, busbar or battery feeds each group of loads."""

from catalogue.models import BoardData
from catalogue.models.electrical_data import LoadFunction
from electrical.facts import record_of
from electrical.models import CircuitRole, Device
from electrical.wiring.backbone import Backbone
from electrical.wiring.grouping import LoadGroup, grouped, load_v, needs_power
from electrical.wiring.proposal import Proposal
from electrical.wiring.system import System, is_heavy_board

#: At and above this a load belongs on the main busbar or on a battery. Common practice, no source.
HEAVY_A = 50.0
#: Who gets the ways of a board first; a board that is full sends the others elsewhere.
FIRST_SERVED: dict[str, int] = {
    LoadFunction.BILGE_PUMP: 0,
    LoadFunction.ALARM: 1,
    LoadFunction.NAV_LIGHT: 2,
    LoadFunction.NAVIGATION: 3,
    LoadFunction.RADIO: 4,
    LoadFunction.BLOWER: 5,
    LoadFunction.PUMP: 6,
    LoadFunction.LIGHT: 7,
}
#: Below this a bolt-in fuse protects nothing; the load then goes on the busbar, fused in line.
BOLT_IN_A = 20.0


def propose_loads(backbone: Backbone) -> None:
    facts = backbone.facts
    waiting: list[Device] = []
    for device in facts.devices:
        if not needs_power(device) or facts.fed_by.get(device.pk):
            continue
        if load_v(device) is None:
            backbone.proposals.lacks(
                f"electrical data of {device.label}",
                f"The part of {device.label} {device.name} has no electrical data, so its "
                "voltage and current are not known. Fill in its record in the catalogue.",
                device,
            )
            continue
        waiting.append(device)
    for group in sorted(grouped(facts, waiting), key=lambda g: FIRST_SERVED.get(g.function, 9)):
        _propose(backbone, group)


def _propose(backbone: Backbone, group: LoadGroup) -> None:
    system = backbone.systems[group.volts]
    if is_engine_start(group) and system.starters:
        _start_circuit(backbone, group, system)
        return
    origin = _origin(backbone, group, system)
    if origin is None:
        backbone.proposals.lacks(
            f"supply {group.volts:g} V",
            f"Nothing on the build sheet supplies {group.volts:g} V: no battery, board, busbar "
            "or converter of that voltage.",
            *group.devices,
        )
        return
    is_ahead = origin in system.house or origin.always_live
    devices = group.devices
    if origin in system.motor_batteries:
        devices = (*backbone.take_isolator(origin), *devices)
    _add(backbone, group, CircuitRole.LOAD, origin, devices, always_live=is_ahead)


def is_engine_start(group: LoadGroup) -> bool:
    return group.function == LoadFunction.ENGINE and (group.current_a or 0.0) >= HEAVY_A


def _start_circuit(backbone: Backbone, group: LoadGroup, system: System) -> None:
    """Each engine has its own start battery as far as there are enough."""
    first = group.devices[0]
    unused = [b for b in system.starters if not _starts_engine(backbone, b)]
    battery = system.nearest(unused or system.starters, first)
    if battery is not None:
        devices = (*backbone.take_isolator(battery), *group.devices)
        _add(backbone, group, CircuitRole.STARTING, battery, devices)


def _starts_engine(backbone: Backbone, battery: Device) -> bool:
    stored = backbone.facts.starting_at.get(battery.pk, ())
    return any(c.role == CircuitRole.STARTING for c in stored) or any(
        p.origin == battery and p.role == CircuitRole.STARTING for p in backbone.proposals.circuits
    )


def _origin(backbone: Backbone, group: LoadGroup, system: System) -> Device | None:
    first = group.devices[0]
    if group.always_live:
        boards = [b for b in system.boards if b.always_live and _has_room(backbone, b, group)]
        return system.nearest(boards or system.house, first) or _strong(backbone, group, system)
    if (group.current_a or 0.0) >= HEAVY_A:
        if group.function == LoadFunction.WINCH and system.motor_batteries:
            return system.nearest(system.motor_batteries, first)
        return _strong(backbone, group, system)
    boards = [
        board
        for board in system.boards
        if not board.always_live and not is_heavy_board(board) and _has_room(backbone, board, group)
    ]
    return system.nearest(boards, first) or _strong(backbone, group, system)


def _strong(backbone: Backbone, group: LoadGroup, system: System) -> Device | None:
    is_heavy = (group.current_a or 0.0) >= BOLT_IN_A
    boards = [
        board
        for board in system.boards
        if is_heavy and is_heavy_board(board) and _has_room(backbone, board, group)
    ]
    return system.supply_for(group.devices[0], boards)


def _has_room(backbone: Backbone, board: Device, group: LoadGroup) -> bool:
    record = record_of(board)
    if not isinstance(record, BoardData):
        return False
    used = len(backbone.facts.starting_at.get(board.pk, ())) + backbone.proposals.starts_at(board)
    if used >= record.ways:
        return False
    needed_a = group.least_rating_a
    return needed_a is None or record.way_max_a is None or needed_a <= float(record.way_max_a)


def _add(
    backbone: Backbone,
    group: LoadGroup,
    role: CircuitRole,
    origin: Device,
    devices: tuple[Device, ...],
    *,
    always_live: bool = False,
) -> None:
    backbone.proposals.add(
        Proposal(
            name=group.name,
            role=role,
            origin=origin,
            devices=devices,
            nominal_v=group.volts,
            always_live=always_live,
        )
    )
