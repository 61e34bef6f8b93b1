"""Where each circuit's run lies: its length along the cableways and the zones it passes."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from electrical.adapters.numbers import number
from electrical.adapters.places import place_of
from electrical.core.design import Route
from electrical.core.errors import BadInput
from electrical.core.geometry import Cableways, NoWay, Point, Segment, Way, square_distance_m
from electrical.facts import Facts
from electrical.models import Circuit, Device
from fitout.jobs.models import CablewaySegment, Zone

#: Places along a segment at which its zones are looked up.
SAMPLES = (0.0, 0.25, 0.5, 0.75, 1.0)


@dataclass(frozen=True, kw_only=True)
class Run:
    """One circuit's way, or the reason why there is none."""

    circuit_id: int
    ways: tuple[Way, ...] = ()
    length_m: float | None = None
    positions_m: Mapping[int, float] | None = None
    """How far along the run each device is connected, by device."""
    order: tuple[int, ...] = ()
    """Devices in the order in which the run reaches them."""
    is_measured: bool = False
    reason: str = ""

    @property
    def segment_ids(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(s for way in self.ways for s in way.segment_ids))

    @property
    def zone_ids(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(z for way in self.ways for z in way.zone_ids))


class Router:
    """Finds the runs of one job; ways between the same two places are found once."""

    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self.cableways = cableways_of(facts)
        self.found: dict[tuple[Point, Point], Way | NoWay] = {}

    def run(self, circuit: Circuit) -> Run:
        origin = self.facts.origin_of(circuit)
        stops = self._in_order(origin, self.facts.devices_of(circuit))
        run = self._along(circuit, [origin, *stops])
        measured_m = number(circuit.length_override_m)
        return run if measured_m is None else self._measured(run, circuit, measured_m, stops)

    def _in_order(self, origin: Device, devices: tuple[Device, ...]) -> list[Device]:
        """Isolators first, then always the nearest device not yet reached, boards last."""
        switches = [d for d in devices if d.kind == "switch"]
        rest = [d for d in devices if d.kind != "switch"]
        stops, here = list(switches), (switches[-1] if switches else origin)
        while rest:
            nearest = min(
                rest, key=lambda d: (square_distance_m(point_of(here), point_of(d)), d.pk)
            )
            rest.remove(nearest)
            stops.append(nearest)
            here = nearest
        return stops

    def _along(self, circuit: Circuit, stops: list[Device]) -> Run:
        ways: list[Way] = []
        positions: dict[int, float] = {}
        so_far_m = 0.0
        for here, there in pairwise(stops):
            way = self.way(point_of(here), point_of(there))
            if isinstance(way, NoWay):
                reason = f"{circuit.label}: {self._named(way.reason)}"
                return Run(circuit_id=circuit.pk, reason=reason)
            ways.append(way)
            so_far_m += way.length_m
            positions[there.pk] = so_far_m
        return Run(
            circuit_id=circuit.pk,
            ways=tuple(ways),
            length_m=so_far_m if ways else None,
            positions_m=positions,
            order=tuple(device.pk for device in stops[1:]),
        )

    def _named(self, reason: str) -> str:
        """Name segments by their cableway, as they are written on the hull plan."""
        for segment in self.facts.segments:
            reason = reason.replace(f"Segment {segment.pk},", f"Segment {segment},")
            reason = reason.replace(f"segment {segment.pk},", f"segment {segment},")
        return reason

    def _measured(self, run: Run, circuit: Circuit, length_m: float, stops: list[Device]) -> Run:
        share = length_m / run.length_m if run.length_m else 1.0
        positions = {pk: at * share for pk, at in (run.positions_m or {}).items()}
        return Run(
            circuit_id=circuit.pk,
            ways=run.ways,
            length_m=length_m,
            positions_m=positions,
            order=run.order or tuple(device.pk for device in stops),
            is_measured=True,
        )

    def way(self, start: Point, end: Point) -> Way | NoWay:
        cableways = self.cableways
        if cableways is None:
            return NoWay(reason="The hull plan has no cableways.")
        key = (start, end)
        if key not in self.found:
            self.found[key] = cableways.way(start, end)
        return self.found[key]


def point_of(device: Device) -> Point:
    return Point(x_m=float(device.x_m or 0), y_m=float(device.y_m or 0), z_m=float(device.z_m or 0))


def cableways_of(facts: Facts) -> Cableways | None:
    nodes = {
        str(node.pk): Point(x_m=float(node.x_m), y_m=float(node.y_m), z_m=float(node.z_m))
        for node in facts.nodes
    }
    segments = [
        Segment(
            id=str(segment.pk),
            start_id=str(segment.start_id),
            end_id=str(segment.end_id),
            length_m=float(segment.length_override_m) if segment.length_override_m else None,
            zone_ids=_zones_along(facts, segment, nodes),
        )
        for segment in facts.segments
    ]
    try:
        return Cableways(nodes=nodes, segments=segments) if segments else None
    except BadInput:
        return None


def _zones_along(
    facts: Facts, segment: CablewaySegment, nodes: Mapping[str, Point]
) -> tuple[str, ...]:
    start, end = nodes[str(segment.start_id)].xyz_m, nodes[str(segment.end_id)].xyz_m
    found: dict[str, None] = {}
    for share in SAMPLES:
        at = tuple(a + share * (b - a) for a, b in zip(start, end, strict=True))
        for zone in facts.zones:
            if _holds(zone, at):
                found[str(zone.pk)] = None
    return tuple(found)


def _holds(zone: Zone, at: tuple[float, ...]) -> bool:
    lows = (zone.x_min_m, zone.y_min_m, zone.z_min_m)
    highs = (zone.x_max_m, zone.y_max_m, zone.z_max_m)
    return all(
        float(low) <= value <= float(high) for low, value, high in zip(lows, at, highs, strict=True)
    )


def runs_of(facts: Facts, router: Router | None = None) -> dict[int, Run]:
    router = router or Router(facts)
    return {circuit.pk: router.run(circuit) for circuit in facts.circuits}


def route_of(facts: Facts, circuit: Circuit, run: Run) -> Route | None:
    if run.length_m is None:
        return None
    ends = [facts.origin_of(circuit), *facts.devices_of(circuit)]
    zone_ids = dict.fromkeys([*(device.zone_id for device in ends), *map(int, run.zone_ids)])
    return Route(
        length_m=run.length_m,
        segment_ids=run.segment_ids,
        places=tuple(
            place_of(facts.zone_by_id[zone_id], facts.job.vessel)
            for zone_id in zone_ids
            if zone_id in facts.zone_by_id
        ),
    )
