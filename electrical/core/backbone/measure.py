"""Lengths, load units, currents and voltages of a data backbone."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from electrical.core.backbone.model import Backbone, DataDevice, DataSupply, Segment
from electrical.core.errors import require_not_negative
from electrical.core.network import Branch, Load, Network, NoOperatingPoint, Solved, Source, solve
from electrical.core.tables.data_backbone import LOAD_UNIT_A

__all__ = [
    "BackboneMeasures",
    "DeviceMeasures",
    "SegmentMeasures",
    "formula_drop_v",
    "load_units",
    "measure",
]

_JOINT_OHM = 1e-6
_ASSUMED_SUPPLY_V = 12.0
"""Where one supply's voltage is not known: devices draw the same current at any, so drops hold."""


@dataclass(frozen=True, kw_only=True)
class SegmentMeasures:
    """One segment.

    Parameters
    ----------
    segment : Segment
        The segment.
    current_a : float or None
        Current in it, of devices whose load is known [A]; None when not known.
    drop_v : float or None
        Drop over both its conductors [V].
    unknown_loads : tuple of str
        Labels of devices whose load is not known and may flow through it.
    """

    segment: Segment
    current_a: float | None
    drop_v: float | None
    unknown_loads: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class DeviceMeasures:
    """One device.

    Parameters
    ----------
    device : DataDevice
        The device.
    voltage_v : float or None
        Voltage at its plug [V]; None without a supply of known voltage that can carry
        the load.
    drop_v : float or None
        Drop from the supply point to it [V].
    distance_m : float or None
        Cable from the supply point to it, drop included [m].
    """

    device: DataDevice
    voltage_v: float | None
    drop_v: float | None
    distance_m: float | None


@dataclass(frozen=True, kw_only=True)
class BackboneMeasures:
    """Everything computed about one backbone.

    Parameters
    ----------
    backbone : Backbone
        The backbone.
    shape_fault : str or None
        Why it is not one line, in words; None when it is.
    ends : tuple of str
        Its two ends, when it is one line.
    length_m : float
        Length of its cable, drops left out [m].
    drops_m : float
        Length of all drops together [m].
    load_units : int
        Load units of all devices together, as far as known.
    unknown_loads : tuple of str
        Labels of devices whose load is not known.
    unknown_supplies : tuple of str
        Names of supplies whose voltage is not known.
    unfed : tuple of str
        Labels of devices no supply reaches.
    segments : tuple of SegmentMeasures
        One per segment.
    devices : tuple of DeviceMeasures
        One per device.
    worst_drop_v : float or None
        Largest drop to any device [V]; None when it can not be computed.
    formula_drop_v : float or None
        The published closed formula for comparison [V]: every device at the
        furthest distance from the supply, on the thinnest cable there is.
    collapse : str or None
        Why no voltage holds, in words; None when it does.
    """

    backbone: Backbone
    shape_fault: str | None
    ends: tuple[str, ...]
    length_m: float
    drops_m: float
    load_units: int
    unknown_loads: tuple[str, ...]
    unknown_supplies: tuple[str, ...]
    unfed: tuple[str, ...]
    segments: tuple[SegmentMeasures, ...]
    devices: tuple[DeviceMeasures, ...]
    worst_drop_v: float | None
    formula_drop_v: float | None
    collapse: str | None


def load_units(current_ma: float) -> int:
    """Return the load units of a current.

    Parameters
    ----------
    current_ma : float
        Largest current from the backbone [mA], 0 or more.

    Returns
    -------
    int
        Units of 50 mA, rounded up.

    Notes
    -----
    ``LEN = ceil(I / 50 mA)``, second-hand, makers' manuals that agree.

    Examples
    --------
    >>> load_units(151.0)
    4
    """
    require_not_negative("Current from the backbone", current_ma, "mA")
    return ceil(current_ma / (1e3 * LOAD_UNIT_A) - 1e-9)


def formula_drop_v(*, load_units: int, length_m: float, ohm_per_100m: float) -> float:
    """Return the drop by the published closed formula.

    Parameters
    ----------
    load_units : int
        Load units of all devices together.
    length_m : float
        Distance from the supply to the furthest device [m], 0 or more.
    ohm_per_100m : float
        Resistance of one power conductor [ohm per 100 m], above 0.

    Returns
    -------
    float
        Drop over both conductors [V].

    Notes
    -----
    ``V = 0.1 LEN L R / 100``: twice 0.05 A per unit, every device at the far end.
    Second-hand, makers' manuals that agree.

    Examples
    --------
    >>> round(formula_drop_v(load_units=10, length_m=20.0, ohm_per_100m=5.7), 3)
    1.14
    """
    return 0.1 * load_units * length_m * ohm_per_100m / 100.0


def measure(backbone: Backbone) -> BackboneMeasures:
    """Compute everything about a backbone that its rules ask for.

    Parameters
    ----------
    backbone : Backbone
        The backbone.

    Returns
    -------
    BackboneMeasures
        Shape, lengths, load, current in each segment and voltage at each device.

    Notes
    -----
    Each power conductor of each segment and drop is a branch of a network; each
    device draws its load units times 50 mA, whatever the voltage.  With several
    supplies each is taken at its own voltage, in parallel; unless all of these are
    known, nobody can tell how the current divides.  Pieces without a supply are left
    out of the solve.
    """
    ends, fault = _line_of(backbone)
    distances = _distances(backbone)
    solved, collapse = _flow(backbone, distances)
    devices = tuple(
        _device_measures(backbone, device, solved, distances) for device in backbone.devices
    )
    drops = [measures.drop_v for measures in devices if measures.drop_v is not None]
    units = sum(device.load_units or 0 for device in backbone.devices)
    return BackboneMeasures(
        backbone=backbone,
        shape_fault=fault,
        ends=ends,
        length_m=sum(segment.length_m for segment in backbone.segments),
        drops_m=sum(device.drop_length_m for device in backbone.devices),
        load_units=units,
        unknown_loads=tuple(d.label for d in backbone.devices if d.load_units is None),
        unknown_supplies=_unknown_supplies(backbone),
        unfed=tuple(d.label for d in backbone.devices if d.point not in distances),
        segments=tuple(
            _segment_measures(backbone, segment, solved) for segment in backbone.segments
        ),
        devices=devices,
        worst_drop_v=max(drops, default=None),
        formula_drop_v=_formula(backbone, devices, units),
        collapse=collapse,
    )


def _line_of(backbone: Backbone) -> tuple[tuple[str, ...], str | None]:
    """Return the two ends of the line, or why it is not one."""
    degree: dict[str, int] = {}
    for segment in backbone.segments:
        for point in (segment.from_point, segment.to_point):
            degree[point] = degree.get(point, 0) + 1
    if not degree:
        return (), "it has no cable"
    forks = sorted(point for point, count in degree.items() if count > 2)
    if forks:
        return (), f"it forks at {', '.join(forks)}"
    ends = tuple(sorted(point for point, count in degree.items() if count == 1))
    if not ends:
        return (), "it is a ring"
    if len(_reach(backbone.segments, ends[0])) < len(degree):
        return ends, "it is in several pieces"
    return ends, None


def _reach(segments: Sequence[Segment], start: str) -> dict[str, float]:
    """Shortest cable from a point to every point it is joined to [m]."""
    reached = {start: 0.0}
    queue = [start]
    while queue:
        point = queue.pop(0)
        for segment in segments:
            ends = (segment.from_point, segment.to_point)
            if point in ends:
                other = ends[1] if ends[0] == point else ends[0]
                length_m = reached[point] + segment.length_m
                if length_m < reached.get(other, float("inf")):
                    reached[other] = length_m
                    queue.append(other)
    return reached


def _distances(backbone: Backbone) -> Mapping[str, float]:
    """Cable from the nearest supply to each point it reaches [m]."""
    nearest: dict[str, float] = {}
    for supply in backbone.supplies:
        for point, length_m in _reach(backbone.segments, supply.point).items():
            nearest[point] = min(length_m, nearest.get(point, length_m))
    return nearest


def _unknown_supplies(backbone: Backbone) -> tuple[str, ...]:
    return tuple(supply.supply_id for supply in backbone.supplies if supply.voltage_v is None)


def _flow(backbone: Backbone, fed: Mapping[str, float]) -> tuple[Solved | None, str | None]:
    """Solve the two power conductors; None without a supply or a working point."""
    supplies = backbone.supplies
    if not supplies or (len(supplies) > 1 and _unknown_supplies(backbone)):
        return None, None
    answer = solve(_network(backbone, fed))
    if isinstance(answer, NoOperatingPoint):
        return None, answer.message
    return answer, None


def _network(backbone: Backbone, fed: Mapping[str, float]) -> Network:
    branches: list[Branch] = []
    devices = [device for device in backbone.devices if device.point in fed]
    for segment in backbone.segments:
        if segment.from_point not in fed:
            continue
        ohm = segment.cable.resistance_ohm_per_m * segment.length_m
        for side in "+-":
            name = f"{segment.segment_id}{side}"
            branches.append(
                _wire(name, f"{segment.from_point}{side}", f"{segment.to_point}{side}", ohm)
            )
    for device in devices:
        ohm = device.cable.resistance_ohm_per_m * device.drop_length_m
        for side in "+-":
            name = f"drop {device.device_id}{side}"
            branches.append(_wire(name, f"{device.point}{side}", f"{device.device_id}>{side}", ohm))
    return Network(
        branches=tuple(branches),
        sources=tuple(_source(supply) for supply in backbone.supplies),
        loads=tuple(
            Load(
                load_id=device.device_id,
                positive=f"{device.device_id}>+",
                negative=f"{device.device_id}>-",
                current_a=device.current_a,
            )
            for device in devices
        ),
    )


def _wire(name: str, one: str, other: str, ohm: float) -> Branch:
    return Branch(branch_id=name, from_node=one, to_node=other, resistance_ohm=max(ohm, _JOINT_OHM))


def _source(supply: DataSupply) -> Source:
    return Source(
        source_id=supply.supply_id,
        positive=f"{supply.point}+",
        negative=f"{supply.point}-",
        emf_v=_ASSUMED_SUPPLY_V if supply.voltage_v is None else supply.voltage_v,
        resistance_ohm=_JOINT_OHM,
    )


def _segment_measures(
    backbone: Backbone, segment: Segment, solved: Solved | None
) -> SegmentMeasures:
    flow_a = None if solved is None else solved.branch_a.get(f"{segment.segment_id}+")
    if flow_a is None:
        return SegmentMeasures(segment=segment, current_a=None, drop_v=None)
    ohm = segment.cable.resistance_ohm_per_m * segment.length_m
    return SegmentMeasures(
        segment=segment,
        current_a=abs(flow_a),
        drop_v=2.0 * ohm * abs(flow_a),
        unknown_loads=_unknown_through(backbone, segment),
    )


def _unknown_through(backbone: Backbone, segment: Segment) -> tuple[str, ...]:
    """Devices of unknown load that one supply would no longer reach without the segment."""
    unknown = [device for device in backbone.devices if device.load_units is None]
    if not unknown:
        return ()
    rest = [other for other in backbone.segments if other is not segment]
    reached = [_reach(rest, supply.point) for supply in backbone.supplies]
    return tuple(d.label for d in unknown if not all(d.point in points for points in reached))


def _device_measures(
    backbone: Backbone, device: DataDevice, solved: Solved | None, distances: Mapping[str, float]
) -> DeviceMeasures:
    distance_m = distances.get(device.point)
    if solved is None or distance_m is None:
        return DeviceMeasures(device=device, voltage_v=None, drop_v=None, distance_m=None)
    found_v = solved.across_v(f"{device.device_id}>+", f"{device.device_id}>-")
    highest_v = max(supply.voltage_v or _ASSUMED_SUPPLY_V for supply in backbone.supplies)
    return DeviceMeasures(
        device=device,
        voltage_v=None if _unknown_supplies(backbone) else found_v,
        drop_v=highest_v - found_v,
        distance_m=distance_m + device.drop_length_m,
    )


def _formula(backbone: Backbone, devices: tuple[DeviceMeasures, ...], units: int) -> float | None:
    furthest_m = max((d.distance_m for d in devices if d.distance_m is not None), default=None)
    if furthest_m is None:
        return None
    cables = [segment.cable for segment in backbone.segments]
    cables += [device.cable for device in backbone.devices]
    worst = max(cable.resistance_ohm_per_m for cable in cables)
    return formula_drop_v(load_units=units, length_m=furthest_m, ohm_per_100m=100.0 * worst)
