"""From the fractions in which templates and shapes are written to metres of one vessel.

Along: 0 at the transom (or the back of a van), 1 at the bow (or the front).
Across: 0 on the centreline, 1 at the port side, -1 at starboard.
Up: 0 at the keel (or the floor of a van), 1 at the sheer (or the waist), 2 at the top.
"""

from dataclasses import dataclass
from decimal import ROUND_DOWN, ROUND_HALF_UP, Decimal
from typing import Any

CENTIMETRE = Decimal("0.01")


def rounded(length_m: float) -> Decimal:
    return Decimal(str(length_m)).quantize(CENTIMETRE, rounding=ROUND_HALF_UP)


def rounded_inside(length_m: float) -> Decimal:
    """Toward zero, so that a zone never reaches out of the hull by a rounding."""
    return Decimal(f"{length_m:.6f}").quantize(CENTIMETRE, rounding=ROUND_DOWN)


@dataclass(frozen=True)
class Scale:
    length_m: float
    beam_m: float
    depth_m: float
    height_m: float
    draught_m: float = 0.0

    @classmethod
    def of(cls, vessel: Any) -> "Scale":
        return cls(
            length_m=float(vessel.length_m),
            beam_m=float(vessel.beam_m),
            depth_m=float(vessel.depth_m),
            height_m=float(vessel.height_m),
            draught_m=float(vessel.draught_m),
        )

    def x_m(self, along: float) -> float:
        return along * self.length_m

    def y_m(self, across: float) -> float:
        return across * self.beam_m / 2

    def z_m(self, up: float) -> float:
        if up <= 1:
            return up * self.depth_m
        return self.depth_m + (up - 1) * (self.height_m - self.depth_m)
