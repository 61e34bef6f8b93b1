"""Cables and devices on offer, with invented prices."""

from dataclasses import replace

from electrical.core.parts import Cable, DeviceType, Protection
from electrical.core.propose import CableChoice, DeviceChoice
from electrical.core.sizes import mm2
from electrical.core.tables.fuse_ratings import RATINGS_A

SIZES = (1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0, 95.0, 120.0)
CABLES = tuple(
    CableChoice(
        key=f"{size:g}",
        cable=Cable(size=mm2(size)),
        cost_per_m=0.5 + 0.6 * size,
        mass_kg_per_m=0.03 + 0.02 * size,
    )
    for size in SIZES
)


def devices(device: DeviceType, *, cost: float, breaking_a: float) -> tuple[DeviceChoice, ...]:
    base = Protection(
        rating_a=1.0, device=device, breaking_capacity_a=breaking_a, rated_v=58.0, distance_m=0.1
    )
    return tuple(
        DeviceChoice(
            key=f"{device.value} {rating_a:g}",
            protection=replace(base, rating_a=rating_a),
            cost=cost,
            mass_kg=0.05,
        )
        for rating_a in RATINGS_A[device]
    )


BLADES = devices(DeviceType.BLADE, cost=1.5, breaking_a=3000.0)
STRIPS = devices(DeviceType.STRIP_M8, cost=12.0, breaking_a=6000.0)
