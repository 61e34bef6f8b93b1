"""Where a zone's letters go in a drawing: the emptiest place of what can be seen of the zone."""

from __future__ import annotations

from dataclasses import dataclass

STEPS = 10


@dataclass(frozen=True)
class Rect:
    left: float
    top: float
    right: float
    bottom: float

    @property
    def area(self) -> float:
        return (self.right - self.left) * (self.bottom - self.top)

    def clearance(self, x: float, y: float) -> float:
        """From a point inside to the nearest edge; negative outside."""
        return min(x - self.left, self.right - x, y - self.top, self.bottom - y)

    def meets(self, other: Rect) -> bool:
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def gap(self, x: float, y: float) -> float:
        """From a point outside to the rectangle; negative inside."""
        return -self.clearance(x, y)


def place_label(
    own: Rect, covering: list[Rect], taken: list[tuple[float, float]], needed: float
) -> tuple[float, float] | None:
    """The point with most air around it, or None where less than `needed` is left."""
    near = [rect for rect in covering if rect.meets(own)]
    around = [(x, y) for x, y in taken if own.gap(x, y) < 3 * needed]
    best, best_point = needed, None
    for x, y in _grid(own):
        lost = 0.02 * _off_centre(own, x, y)
        air = min(own.clearance(x, y), needed * 3) - lost
        for rect in near:
            if air <= best:
                break
            air = min(air, rect.gap(x, y) - lost)
        for px, py in around:
            if air <= best:
                break
            air = min(air, max(abs(x - px) * 0.5, abs(y - py)) - lost)
        if air > best:
            best, best_point = air, (x, y)
    return best_point


def _grid(own: Rect) -> list[tuple[float, float]]:
    xs = [own.left + (own.right - own.left) * i / STEPS for i in range(1, STEPS)]
    ys = [own.top + (own.bottom - own.top) * i / STEPS for i in range(1, STEPS)]
    return [(x, y) for y in ys for x in xs]


def _off_centre(own: Rect, x: float, y: float) -> float:
    return abs(x - (own.left + own.right) / 2) + abs(y - (own.top + own.bottom) / 2)
