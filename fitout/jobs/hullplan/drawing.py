"""The hull plan to scale as SVG: profile and deck plan.

On screen every line has a class and takes its colour from the style sheet. For print the
drawing carries its colours itself, as attributes; it never has a style attribute.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from django.utils.safestring import SafeString

from .ink import SHEET, UNITS_LONG, Ink
from .lettering import Lettering
from .plan import HullPlan, Marker, MarkerShape, PlanZone
from .projection import Projection, ViewName, zones_to_draw
from .road_shapes import outlines_for
from .shapes import Outline, Shape, drawn
from .svg import element, joined

ZoneLink = Callable[[str], str]


def profile(
    plan: HullPlan,
    *,
    for_print: bool = False,
    chosen: str = "",
    zone_link: ZoneLink | None = None,
    name: str = "profile",
) -> SafeString:
    ink = Ink(for_print=for_print, small=False)
    return Drawing(
        plan, ViewName.PROFILE, ink=ink, chosen=chosen, zone_link=zone_link, name=name
    ).svg()


def deck_plan(
    plan: HullPlan,
    *,
    for_print: bool = False,
    chosen: str = "",
    zone_link: ZoneLink | None = None,
    small: bool = False,
    nodes: bool = False,
    silent: bool = False,
    name: str = "plan",
) -> SafeString:
    """`small` is for a phone: larger letters, no cableways; `nodes` shows the cableway nodes;
    `silent` leaves out every word.
    """
    ink = Ink(for_print=for_print, small=small)
    drawing = Drawing(
        plan,
        ViewName.PLAN,
        ink=ink,
        chosen=chosen,
        zone_link=zone_link,
        name=name,
        nodes=nodes,
        silent=silent,
    )
    return drawing.svg()


class Drawing:
    """One view of a plan. `chosen` is the code of the zone in hand; others' markers fade."""

    def __init__(
        self,
        plan: HullPlan,
        view: ViewName,
        *,
        ink: Ink,
        chosen: str,
        zone_link: ZoneLink | None,
        name: str,
        nodes: bool = False,
        silent: bool = False,
    ) -> None:
        side, top = outlines_for(plan.template)
        self.outline: Outline = side if view is ViewName.PROFILE else top
        self.plan = plan
        self.view = view
        self.ink = ink
        self.chosen = chosen
        self.zone_link = zone_link
        self.name = name
        self.nodes_too = nodes
        self.silent = silent
        self.projection = Projection(plan, view, self.outline.afloat)

    def svg(self) -> SafeString:
        frame = self.projection.frame(0 if self.silent else self.ink.bar_room)
        front = "bow" if self.outline.afloat else "front"
        return element(
            "svg",
            self.layers(),
            xmlns="http://www.w3.org/2000/svg",
            class_="hull-drawing small" if self.ink.small else "hull-drawing",
            viewBox=f"{frame.left:.0f} {frame.top:.0f} "
            f"{frame.right - frame.left:.0f} {frame.bottom - frame.top:.0f}",
            role="group" if self.zone_link else "img",
            aria_label=f"{self.view.value.capitalize()} of {self.plan.name}, {front} to the right",
        )

    def layers(self) -> Iterator[SafeString]:
        hull = drawn(self.outline.hull, self.projection.at_fraction)
        yield from self.level()
        yield from (part for shape in self.outline.under for part in self.shape(shape))
        yield element("path", d=hull, **self.ink("hull"))
        yield from self.sea_inside(hull)
        yield element("path", d=hull, **self.ink("firm"))
        yield from (part for shape in self.outline.over for part in self.shape(shape))
        yield from (self.zone(zone) for zone in zones_to_draw(self.plan, self.projection))
        lettering = Lettering(self.plan, self.projection, self.ink)
        if not self.ink.small:
            yield from self.cableways(lettering)
        if self.nodes_too:
            yield from self.nodes()
        yield from (self.marker(marker) for marker in self.plan.markers)
        if not self.silent:
            yield from self.zone_codes(lettering)
            yield from self.metre_bar()

    # The vessel ---------------------------------------------------------------------------

    def shape(self, shape: Shape) -> Iterator[SafeString]:
        place = self.projection.at_fraction
        if shape.radius_m:
            along, other = (float(word) for word in shape.path.split())
            x, y = place(along, other)
            radius = shape.radius_m * self.projection.units_per_m
            yield element("circle", cx=x, cy=y, r=radius, **self.ink(shape.look))
            return
        yield element("path", d=drawn(shape.path, place), **self.ink(shape.look))
        if shape.mirrored:
            yield element("path", d=drawn(shape.path, place, flip=True), **self.ink(shape.look))

    def level(self) -> Iterator[SafeString]:
        """The waterline, or the ground under the wheels."""
        if self.view is not ViewName.PROFILE:
            return
        frame = self.projection.frame(0)
        y = -self.plan.scale.draught_m * self.projection.units_per_m
        if not self.outline.afloat:
            y = 0.47 * self.projection.units_per_m
        yield element(
            "path", d=f"M{frame.left:.1f},{y:.1f} H{frame.right:.1f}", **self.ink("level")
        )

    def sea_inside(self, hull: str) -> Iterator[SafeString]:
        draught = self.plan.scale.draught_m * self.projection.units_per_m
        if self.view is not ViewName.PROFILE or not self.outline.afloat or draught <= 0:
            return
        clip = f"{self.name}-inside"
        yield element("defs", [element("clipPath", [element("path", d=hull)], id=clip)])
        sea = {"x": 0.0, "y": -draught, "width": UNITS_LONG, "height": draught + 40}
        yield element("rect", clip_path=f"url(#{clip})", **sea, **self.ink("sea"))

    # What is in it ------------------------------------------------------------------------

    def zone(self, zone: PlanZone) -> SafeString:
        rect = self.projection.zone(zone)
        box = element(
            "rect",
            x=rect.left,
            y=rect.top,
            width=rect.right - rect.left,
            height=rect.bottom - rect.top,
            **self.ink("zone-in-hand" if zone.code == self.chosen else "zone"),
        )
        content = joined([element("title", f"{zone.code} {zone.name}"), box])
        on = " on" if zone.code == self.chosen else ""
        if self.zone_link is None:
            return element("g", content, class_=f"zone{on}" if not self.ink.for_print else None)
        return element(
            "a",
            content,
            href=self.zone_link(zone.code),
            class_=f"zone{on}",
            data_zone=zone.code,
            aria_label=f"{zone.name}: show only this zone",
        )

    def cableways(self, lettering: Lettering) -> Iterator[SafeString]:
        for segment in self.plan.segments:
            x0, y0 = self.projection.node(segment.start)
            x1, y1 = self.projection.node(segment.end)
            path = f"M{x0:.1f},{y0:.1f} L{x1:.1f},{y1:.1f}"
            yield element("path", d=path, **self.ink("cableway"))
        for code, (x, y) in lettering.cableway_names():
            yield from self.letters(code, x, y, "cableway-name")

    def nodes(self) -> Iterator[SafeString]:
        for node in self.plan.nodes:
            x, y = self.projection.node(node)
            title = element("title", f"{node.code}: {node.x_m:g}, {node.y_m:g}, {node.z_m:g} m")
            yield element("circle", title, cx=x, cy=y, r=4.5, **self.ink("node"))

    def marker(self, marker: Marker) -> SafeString:
        x, y = self.projection.at(marker.x_m, marker.y_m, marker.z_m)
        faded = "faded" if self.chosen and marker.zone_code != self.chosen else ""
        return element(
            "path",
            element("title", f"{marker.code} {marker.label}"),
            d=marker_path(marker.shape, x, y, self.ink.marker),
            data_marker=marker.code,
            data_in_zone=marker.zone_code,
            **self.ink("marker", extra=faded),
        )

    def zone_codes(self, lettering: Lettering) -> Iterator[SafeString]:
        for codes, (x, y) in lettering.zone_codes():
            yield from self.letters(" ".join(codes), x, y + self.ink.letter * 0.35, "zone-code")

    def letters(self, words: str, x: float, y: float, look: str) -> Iterator[SafeString]:
        """In print on a ground of their own, as no style sheet gives them an edge there."""
        if self.ink.for_print:
            edge = {**self.ink(look), "stroke": SHEET, "stroke_width": 6.0}
            yield element("text", words, x=x, y=y, stroke_linejoin="round", **edge)
        free = {"pointer_events": "none"} if look == "zone-code" else {}
        yield element("text", words, x=x, y=y, **free, **self.ink(look))

    def metre_bar(self) -> Iterator[SafeString]:
        length_m, per_m = self.plan.scale.length_m, self.projection.units_per_m
        top = self.projection.frame(0).bottom + 4
        height = 9.0
        for metre in range(int(length_m) + 1):
            width = min(1.0, length_m - metre) * per_m
            if width <= 0.01:
                break
            at = {"x": metre * per_m, "width": width}
            yield element("rect", y=top, height=height, **at, **self.ink("bar"))
            half = top if metre % 2 == 0 else top + height / 2
            yield element("rect", y=half, height=height / 2, **at, **self.ink("bar-ink"))
        low = top + height + self.ink.word
        last = UNITS_LONG - 2.6 * self.ink.word
        for metre in range(0, int(length_m) + 1, 2 if self.ink.small else 1):
            if metre * per_m < last:
                yield self.dimension(str(metre), metre * per_m, low)
        yield self.dimension(f"{length_m:g}\N{NO-BREAK SPACE}m", UNITS_LONG, low)

    def dimension(self, words: str, x: float, y: float) -> SafeString:
        return element("text", words, x=x, y=y, **self.ink("dimension"))


def marker_path(shape: MarkerShape, x: float, y: float, r: float) -> str:
    if shape is MarkerShape.CIRCLE:
        arc = f"a{r:.1f},{r:.1f} 0 1 0"
        return f"M{x - r:.1f},{y:.1f} {arc} {2 * r:.1f},0 {arc} {-2 * r:.1f},0 Z"
    if shape is MarkerShape.SQUARE:
        return f"M{x - r:.1f},{y - r:.1f} h{2 * r:.1f} v{2 * r:.1f} h{-2 * r:.1f} Z"
    if shape is MarkerShape.TRIANGLE:
        return f"M{x:.1f},{y - 1.3 * r:.1f} L{x + 1.2 * r:.1f},{y + r:.1f} H{x - 1.2 * r:.1f} Z"
    wide, high = 1.3 * r, 1.4 * r
    return f"M{x:.1f},{y - high:.1f} l{wide:.1f},{high:.1f} l{-wide:.1f},{high:.1f} l{-wide:.1f},{-high:.1f} Z"
