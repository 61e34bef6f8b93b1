"""A vessel as a small shape; all vessels of a page to one scale."""

from __future__ import annotations

from django.utils.safestring import SafeString

from fitout.jobs.hullplan.road_shapes import outlines_for
from fitout.jobs.hullplan.scale import Scale
from fitout.jobs.hullplan.shapes import drawn
from fitout.jobs.hullplan.svg import element
from fitout.jobs.models import Vessel

PX_PER_M = 10.0
UNITS_PER_PX = 10.0
FILLED = frozenset({"house", "outline", "firm"})


def silhouette(vessel: Vessel) -> SafeString:
    """The profile outline, bow to the right, 10 px a metre. Decoration: the name stands beside."""
    side, _ = outlines_for(vessel.template)
    scale = Scale.of(vessel)
    units = PX_PER_M * UNITS_PER_PX

    def place(along: float, up: float) -> tuple[float, float]:
        return scale.x_m(along) * units, (scale.height_m - scale.z_m(up)) * units

    shapes = [
        shape.path
        for shape in (*side.under, *side.over)
        if shape.look in FILLED and not shape.radius_m
    ]
    paths = [element("path", d=drawn(path, place)) for path in (*shapes, side.hull)]
    over_end = 0.1 * scale.length_m * units
    width, height = scale.length_m * units + 2 * over_end, scale.height_m * units * 1.06
    return element(
        "svg",
        paths,
        class_="silhouette",
        width=f"{width / UNITS_PER_PX:.0f}",
        height=f"{height / UNITS_PER_PX:.0f}",
        viewBox=f"{-over_end:.0f} 0 {width:.0f} {height:.0f}",
        aria_hidden="true",
    )
