"""Letters of zones and names of cableways, placed where they do not meet each other."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from .ink import Ink
from .labels import Rect, place_label
from .plan import HullPlan, PlanZone
from .projection import Projection, zones_to_draw

Point = tuple[float, float]


@dataclass
class Lettering:
    plan: HullPlan
    projection: Projection
    ink: Ink
    taken: list[Point] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.taken += [self.projection.at(m.x_m, m.y_m, m.z_m) for m in self.plan.markers]

    def cableway_names(self) -> Iterator[tuple[str, Point]]:
        """Each name on the stretch that looks longest in this view and is still free."""
        for code, stretches in self._stretches().items():
            for size, point in sorted(stretches, reverse=True):
                if size > self.ink.word * 1.8 and self._is_free(point):
                    self.taken.append(point)
                    yield code, point
                    break

    def _stretches(self) -> dict[str, list[tuple[float, Point]]]:
        found: dict[str, list[tuple[float, Point]]] = {}
        for segment in self.plan.segments:
            start, end = self.projection.node(segment.start), self.projection.node(segment.end)
            size = ((start[0] - end[0]) ** 2 + (start[1] - end[1]) ** 2) ** 0.5
            stretch = found.setdefault(segment.cableway, [])
            for part in (0.5, 0.3, 0.7):
                x = start[0] + (end[0] - start[0]) * part
                y = start[1] + (end[1] - start[1]) * part
                stretch.append((size - abs(part - 0.5), (x, y - self.ink.word * 0.3)))
        return found

    def _is_free(self, point: Point) -> bool:
        word = self.ink.word
        return all(
            abs(point[0] - x) > 1.7 * word or abs(point[1] - y) > word for x, y in self.taken
        )

    def zone_codes(self) -> Iterator[tuple[list[str], Point]]:
        """Zones that look the same in this view share one place."""
        zones = zones_to_draw(self.plan, self.projection)
        rects = [self.projection.zone(zone) for zone in zones]
        for alike, rect, covering in grouped(zones, rects):
            point = place_label(rect, covering, self.taken, self.ink.letter * 0.62)
            if point is not None:
                self.taken.append(point)
                yield sorted(zone.code for zone in alike), point


def grouped(
    zones: list[PlanZone], rects: list[Rect]
) -> Iterator[tuple[list[PlanZone], Rect, list[Rect]]]:
    """Smallest first, because they have the least room."""
    for index in reversed(range(len(zones))):
        rect = rects[index]
        alike = [zone for zone, other in zip(zones, rects, strict=True) if other == rect]
        if alike[-1] is zones[index]:
            yield alike, rect, [other for other in rects[index + 1 :] if other != rect]
