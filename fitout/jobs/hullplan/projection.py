"""Where things of the vessel lie in a drawing: profile or deck plan."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from .ink import UNITS_LONG
from .labels import Rect
from .plan import HullPlan, PlanNode, PlanZone

MARGIN = 0.03 * UNITS_LONG
ABAFT, AHEAD = 0.1 * UNITS_LONG, 0.06 * UNITS_LONG


class ViewName(StrEnum):
    PROFILE = "profile"
    PLAN = "deck plan"


@dataclass(frozen=True)
class Projection:
    """x to the right is forward. In profile up is up; in the deck plan up is port."""

    plan: HullPlan
    view: ViewName
    afloat: bool

    @property
    def units_per_m(self) -> float:
        return UNITS_LONG / self.plan.scale.length_m

    def at(self, x_m: float, y_m: float, z_m: float) -> tuple[float, float]:
        other = z_m if self.view is ViewName.PROFILE else y_m
        return x_m * self.units_per_m, -other * self.units_per_m

    def at_fraction(self, along: float, other: float) -> tuple[float, float]:
        scale = self.plan.scale
        return self.at(scale.x_m(along), scale.y_m(other), scale.z_m(other))

    def node(self, node: PlanNode) -> tuple[float, float]:
        return self.at(node.x_m, node.y_m, node.z_m)

    def zone(self, zone: PlanZone) -> Rect:
        box = zone.box
        left, low = self.at(box.x_min_m, box.y_min_m, box.z_min_m)
        right, high = self.at(box.x_max_m, box.y_max_m, box.z_max_m)
        return Rect(left, high, right, low)

    def frame(self, bar_room: float) -> Rect:
        """What the drawing shows: the vessel, what hangs over its ends, the metre bar."""
        scale = self.plan.scale
        if self.view is ViewName.PROFILE:
            below = 0.18 * scale.depth_m if self.afloat else 0.62
            low = below * self.units_per_m
            high = scale.height_m * self.units_per_m + 1.3 * MARGIN
        else:
            over = 1.0 if self.afloat else 1.16
            low = high = over * scale.beam_m / 2 * self.units_per_m + MARGIN / 2
        return Rect(-ABAFT, -high, UNITS_LONG + AHEAD, low + bar_room)


def volume_m3(zone: PlanZone) -> float:
    box = zone.box
    return (box.x_max_m - box.x_min_m) * (box.y_max_m - box.y_min_m) * (box.z_max_m - box.z_min_m)


def zones_to_draw(plan: HullPlan, projection: Projection) -> list[PlanZone]:
    """Large ones first, so that a small zone is never covered; the whole vessel is left out."""
    scale = plan.scale
    whole = scale.length_m * scale.beam_m * scale.height_m * 0.98
    zones = [zone for zone in plan.zones if volume_m3(zone) < whole]
    return sorted(zones, key=lambda zone: -projection.zone(zone).area)
