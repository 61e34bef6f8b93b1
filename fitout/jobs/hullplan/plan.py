"""A vessel's hull plan as plain values, read in three queries."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from fitout.jobs.models.hull import CablewayNode, CablewaySegment, Vessel, Zone

from .scale import Scale


class MarkerShape(StrEnum):
    CIRCLE = "circle"  # instrument or light
    SQUARE = "square"  # source
    TRIANGLE = "triangle"  # motor or pump
    DIAMOND = "diamond"  # fitting


@dataclass(frozen=True)
class Box:
    x_min_m: float
    x_max_m: float
    y_min_m: float
    y_max_m: float
    z_min_m: float
    z_max_m: float

    def holds(self, x_m: float, y_m: float, z_m: float) -> bool:
        return (
            self.x_min_m <= x_m <= self.x_max_m
            and self.y_min_m <= y_m <= self.y_max_m
            and self.z_min_m <= z_m <= self.z_max_m
        )


@dataclass(frozen=True)
class PlanZone:
    id: int
    code: str
    name: str
    box: Box
    petrol_vapour: bool = False


@dataclass(frozen=True)
class PlanNode:
    code: str
    x_m: float
    y_m: float
    z_m: float


@dataclass(frozen=True)
class PlanSegment:
    id: int
    cableway: str
    start: PlanNode
    end: PlanNode
    length_m: float
    measured: bool = False


@dataclass(frozen=True)
class Marker:
    code: str
    label: str
    zone_code: str
    shape: MarkerShape
    x_m: float
    y_m: float
    z_m: float


@dataclass(frozen=True)
class HullPlan:
    name: str
    template: str
    scale: Scale
    zones: tuple[PlanZone, ...]
    nodes: tuple[PlanNode, ...]
    segments: tuple[PlanSegment, ...]
    markers: tuple[Marker, ...] = ()


def distance_m(start: PlanNode, end: PlanNode) -> float:
    """Straight from node to node."""
    return math.dist((start.x_m, start.y_m, start.z_m), (end.x_m, end.y_m, end.z_m))


def read_plan(vessel: Vessel, markers: Iterable[Marker] = ()) -> HullPlan:
    zones = tuple(_zone(zone) for zone in Zone.objects.filter(vessel=vessel))
    nodes = {node.pk: _node(node) for node in CablewayNode.objects.filter(vessel=vessel)}
    segments = tuple(
        _segment(segment, nodes) for segment in CablewaySegment.objects.filter(vessel=vessel)
    )
    return HullPlan(
        name=vessel.name,
        template=vessel.template,
        scale=Scale.of(vessel),
        zones=zones,
        nodes=tuple(nodes.values()),
        segments=segments,
        markers=tuple(markers),
    )


def _zone(zone: Zone) -> PlanZone:
    box = Box(
        x_min_m=float(zone.x_min_m),
        x_max_m=float(zone.x_max_m),
        y_min_m=float(zone.y_min_m),
        y_max_m=float(zone.y_max_m),
        z_min_m=float(zone.z_min_m),
        z_max_m=float(zone.z_max_m),
    )
    return PlanZone(
        id=zone.pk, code=zone.code, name=zone.name, box=box, petrol_vapour=zone.petrol_vapour
    )


def _node(node: CablewayNode) -> PlanNode:
    return PlanNode(code=node.code, x_m=float(node.x_m), y_m=float(node.y_m), z_m=float(node.z_m))


def _segment(segment: CablewaySegment, nodes: dict[int, PlanNode]) -> PlanSegment:
    start, end = nodes[segment.start_id], nodes[segment.end_id]
    measured = segment.length_override_m
    return PlanSegment(
        id=segment.pk,
        cableway=segment.cableway,
        start=start,
        end=end,
        length_m=distance_m(start, end) if measured is None else float(measured),
        measured=measured is not None,
    )
