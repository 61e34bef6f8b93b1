"""Hull plan templates: zones and cableways for a kind of vessel, written in fractions.

A new job starts from one of these; everything may be changed afterwards.
"""

import itertools
from dataclasses import dataclass, field

from fitout.jobs.models.hull import (
    CablewayNode,
    CablewaySegment,
    Environment,
    Vessel,
    VesselKind,
    Zone,
)

from .scale import Scale, rounded, rounded_inside

Span = tuple[float, float]
Point = tuple[float, float, float]

DRY, DAMP, WET, ENGINE = (
    Environment.DRY,
    Environment.DAMP,
    Environment.WET,
    Environment.ENGINE,
)


@dataclass(frozen=True)
class ZonePlan:
    """A box in fractions: along, across, up."""

    code: str
    name: str
    along: Span
    across: Span
    up: Span
    environment: str = DRY
    petrol_vapour: bool = False
    hot: bool = False
    ventilated: bool = True


@dataclass(frozen=True)
class Template:
    slug: str
    name: str
    kind: str
    typical_m: tuple[str, str, str, str, str]
    zones: tuple[ZonePlan, ...]
    nodes: dict[str, tuple[str, Point]]
    cableways: dict[str, tuple[str, ...]]
    in_conduit: frozenset[str] = field(default_factory=frozenset)

    @property
    def segments(self) -> list[tuple[str, str, str]]:
        """Cableway, from node, to node, along each chain of nodes."""
        return [
            (way, start, end)
            for way, chain in self.cableways.items()
            for start, end in itertools.pairwise(chain)
        ]


TEMPLATES: dict[str, Template] = {}


def add(template: Template) -> Template:
    TEMPLATES[template.slug] = template
    return template


def choices() -> list[tuple[str, str]]:
    return [(template.slug, template.name) for template in TEMPLATES.values()]


def fill(vessel: Vessel, template: Template) -> None:
    """Give a vessel without zones the template's zones and cableways, at its own size."""
    scale = Scale.of(vessel)
    zones = {
        plan.code: Zone(vessel=vessel, position=place, **zone_values(plan, scale))
        for place, plan in enumerate(template.zones, start=1)
    }
    Zone.objects.bulk_create(zones.values())
    nodes = {
        code: CablewayNode(vessel=vessel, code=code, zone=zones[zone], **point_values(point, scale))
        for code, (zone, point) in template.nodes.items()
    }
    CablewayNode.objects.bulk_create(nodes.values())
    CablewaySegment.objects.bulk_create(
        CablewaySegment(
            vessel=vessel,
            cableway=way,
            start=nodes[start],
            end=nodes[end],
            in_conduit=way in template.in_conduit,
        )
        for way, start, end in template.segments
    )


def zone_values(plan: ZonePlan, scale: Scale) -> dict[str, object]:
    return {
        "code": plan.code,
        "name": plan.name,
        "x_min_m": rounded_inside(scale.x_m(plan.along[0])),
        "x_max_m": rounded_inside(scale.x_m(plan.along[1])),
        "y_min_m": rounded_inside(scale.y_m(plan.across[0])),
        "y_max_m": rounded_inside(scale.y_m(plan.across[1])),
        "z_min_m": rounded_inside(scale.z_m(plan.up[0])),
        "z_max_m": rounded_inside(scale.z_m(plan.up[1])),
        "environment": plan.environment,
        "petrol_vapour": plan.petrol_vapour,
        "hot": plan.hot,
        "ventilated": plan.ventilated,
    }


def point_values(point: Point, scale: Scale) -> dict[str, object]:
    along, across, up = point
    return {
        "x_m": rounded(scale.x_m(along)),
        "y_m": rounded(scale.y_m(across)),
        "z_m": rounded(scale.z_m(up)),
    }


add(
    Template(
        slug="workboat",
        name="Workboat, wheelhouse aft, outboards",
        kind=VesselKind.BOAT,
        typical_m=("8.6", "2.8", "1.5", "3.7", "0.5"),
        zones=(
            ZonePlan("FD", "Foredeck and ramp", (0.835, 1), (-1, 1), (0.5, 1.25), WET),
            ZonePlan("DP", "Deck, port", (0.475, 0.835), (0, 1), (0.6, 1.35), WET),
            ZonePlan("DS", "Deck, starboard", (0.475, 0.835), (-1, 0), (0.6, 1.35), WET),
            ZonePlan("AD", "Aft deck", (0.105, 0.215), (-1, 1), (0.6, 1.3), WET),
            ZonePlan("RF", "Wheelhouse roof", (0.2, 0.455), (-0.68, 0.68), (1.72, 2), WET),
            ZonePlan("HM", "Helm", (0.3, 0.475), (-0.68, 0.68), (0.6, 1.72), DRY),
            ZonePlan("BL", "Battery locker", (0.215, 0.3), (-0.68, 0.68), (0.6, 1.12), DRY),
            ZonePlan("EW", "Engine well", (0, 0.105), (-1, 1), (0.5, 1.1), WET, petrol_vapour=True),
            ZonePlan(
                "FT",
                "Fuel tank space",
                (0.105, 0.215),
                (-0.8, 0.8),
                (0.05, 0.58),
                DAMP,
                petrol_vapour=True,
            ),
            ZonePlan("HB", "Hull and bilge", (0, 0.93), (-0.9, 0.9), (0, 0.6), DAMP),
            ZonePlan("WB", "Whole boat", (0, 1), (-1, 1), (0, 2), DAMP),
        ),
        nodes={
            "N1": ("BL", (0.255, 0, 0.62)),
            "N2": ("BL", (0.255, 0.55, 0.62)),
            "N3": ("HB", (0.275, 0.82, 0.56)),
            "N4": ("HB", (0.6, 0.82, 0.56)),
            "N5": ("HB", (0.8, 0.82, 0.56)),
            "N6": ("FD", (0.862, 0.44, 0.52)),
            "N7": ("HB", (0.862, 0, 0.3)),
            "N8": ("BL", (0.255, -0.55, 0.62)),
            "N9": ("HB", (0.275, -0.82, 0.56)),
            "N10": ("HB", (0.655, -0.82, 0.56)),
            "N11": ("HB", (0.2, 0, 0.55)),
            "N12": ("EW", (0.08, 0, 0.62)),
            "N13": ("EW", (0.08, 0.45, 0.66)),
            "N14": ("EW", (0.08, -0.45, 0.66)),
            "N15": ("HM", (0.36, 0.55, 0.72)),
            "N16": ("HM", (0.43, 0.5, 1.2)),
            "N17": ("HM", (0.43, -0.4, 1.2)),
            "N18": ("HM", (0.31, 0.6, 1.7)),
            "N19": ("RF", (0.31, 0.6, 1.76)),
            "N20": ("RF", (0.31, 0, 1.8)),
            "N21": ("HB", (0.26, 0, 0.18)),
            "N22": ("HB", (0.78, 0, 0.18)),
            "N23": ("HB", (0.12, 0.82, 0.56)),
        },
        cableways={
            "W1": ("N1", "N2", "N3", "N4", "N5", "N6", "N7"),
            "W2": ("N1", "N8", "N9", "N10"),
            "W3": ("N1", "N11", "N12", "N13"),
            "W3S": ("N12", "N14"),
            "W4": ("N2", "N15", "N18", "N19", "N20"),
            "W5": ("N15", "N16", "N17"),
            "W6": ("N1", "N21", "N22"),
            "W7": ("N3", "N23"),
        },
        in_conduit=frozenset({"W4", "W6"}),
    )
)

add(
    Template(
        slug="launch",
        name="Launch, cabin forward, engine inside",
        kind=VesselKind.BOAT,
        typical_m=("7.4", "2.6", "1.4", "3.4", "0.7"),
        zones=(
            ZonePlan("FD", "Foredeck and chain locker", (0.82, 1), (-1, 1), (0.45, 1.3), WET),
            ZonePlan("CA", "Cabin", (0.58, 0.82), (-0.75, 0.75), (0.3, 1.35), DRY),
            ZonePlan("HM", "Helm", (0.4, 0.58), (-0.7, 0.7), (0.45, 1.75), DRY),
            ZonePlan("RF", "Wheelhouse roof", (0.38, 0.62), (-0.7, 0.7), (1.75, 2), WET),
            ZonePlan("CP", "Cockpit", (0.1, 0.4), (-1, 1), (0.55, 1.4), WET),
            ZonePlan(
                "ER", "Engine space", (0.18, 0.4), (-0.55, 0.55), (0.05, 0.6), ENGINE, hot=True
            ),
            ZonePlan("BL", "Battery locker", (0.42, 0.52), (-0.6, 0.6), (0.1, 0.44), DRY),
            ZonePlan("LZ", "Lazarette", (0, 0.1), (-0.9, 0.9), (0.35, 1), DAMP),
            ZonePlan("HB", "Hull and bilge", (0.05, 0.85), (-0.85, 0.85), (0, 0.45), DAMP),
            ZonePlan("WB", "Whole boat", (0, 1), (-1, 1), (0, 2), DAMP),
        ),
        nodes={
            "N1": ("BL", (0.47, 0, 0.4)),
            "N2": ("HM", (0.47, 0.62, 0.46)),
            "N3": ("HM", (0.55, 0.62, 1.1)),
            "N4": ("HM", (0.55, -0.5, 1.1)),
            "N5": ("HM", (0.5, 0.66, 1.72)),
            "N6": ("RF", (0.5, 0, 1.8)),
            "N7": ("CA", (0.7, 0.66, 0.5)),
            "N8": ("FD", (0.84, 0.4, 0.55)),
            "N9": ("FD", (0.9, 0, 0.6)),
            "N10": ("HM", (0.47, -0.62, 0.46)),
            "N11": ("CA", (0.72, -0.62, 0.5)),
            "N12": ("ER", (0.36, 0.5, 0.5)),
            "N13": ("ER", (0.22, 0.5, 0.5)),
            "N14": ("LZ", (0.06, 0.4, 0.55)),
            "N15": ("LZ", (0.06, -0.6, 0.6)),
            "N16": ("CP", (0.3, -0.88, 0.7)),
            "N17": ("HB", (0.42, 0, 0.08)),
            "N18": ("HB", (0.15, 0, 0.08)),
        },
        cableways={
            "W1": ("N1", "N2", "N7", "N8", "N9"),
            "W2": ("N1", "N10", "N11"),
            "W3": ("N1", "N12", "N13", "N14", "N15"),
            "W4": ("N2", "N3", "N5", "N6"),
            "W5": ("N3", "N4"),
            "W6": ("N10", "N16"),
            "W7": ("N1", "N17", "N18"),
        },
        in_conduit=frozenset({"W4"}),
    )
)

add(
    Template(
        slug="dayboat",
        name="Day boat, open, one outboard",
        kind=VesselKind.BOAT,
        typical_m=("6.2", "2.4", "1.2", "2.4", "0.4"),
        zones=(
            ZonePlan("FD", "Bow and anchor locker", (0.8, 1), (-1, 1), (0.4, 1.25), WET),
            ZonePlan("BS", "Bow seats", (0.58, 0.8), (-0.9, 0.9), (0.45, 1.2), WET),
            ZonePlan("CS", "Console", (0.42, 0.58), (-0.45, 0.45), (0.45, 1.85), WET),
            ZonePlan("CP", "Cockpit", (0.12, 0.42), (-1, 1), (0.45, 1.25), WET),
            ZonePlan("BL", "Battery locker", (0.14, 0.24), (-0.85, -0.25), (0.45, 0.9), DAMP),
            ZonePlan("EW", "Engine well", (0, 0.12), (-1, 1), (0.5, 1.1), WET, petrol_vapour=True),
            ZonePlan(
                "FT",
                "Fuel tank space",
                (0.26, 0.44),
                (-0.5, 0.5),
                (0.05, 0.42),
                DAMP,
                petrol_vapour=True,
            ),
            ZonePlan("HB", "Hull and bilge", (0, 0.85), (-0.85, 0.85), (0, 0.45), DAMP),
            ZonePlan("WB", "Whole boat", (0, 1), (-1, 1), (0, 2), DAMP),
        ),
        nodes={
            "N1": ("BL", (0.19, -0.5, 0.6)),
            "N2": ("CP", (0.24, -0.82, 0.55)),
            "N3": ("CP", (0.41, -0.82, 0.55)),
            "N4": ("CS", (0.47, -0.3, 0.5)),
            "N5": ("CS", (0.5, -0.3, 1.1)),
            "N6": ("BS", (0.7, -0.75, 0.6)),
            "N7": ("FD", (0.86, -0.35, 0.7)),
            "N8": ("FD", (0.9, 0, 0.8)),
            "N9": ("EW", (0.08, -0.4, 0.62)),
            "N10": ("EW", (0.06, 0.4, 0.62)),
            "N11": ("CP", (0.3, 0.82, 0.55)),
            "N12": ("HB", (0.15, 0, 0.08)),
        },
        cableways={
            "W1": ("N1", "N2", "N3", "N6", "N7", "N8"),
            "W2": ("N3", "N4", "N5"),
            "W3": ("N1", "N9", "N10", "N11"),
            "W4": ("N1", "N12"),
        },
    )
)
