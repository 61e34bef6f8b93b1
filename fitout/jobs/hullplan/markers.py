"""Marks on the hull plan for the lines that have a place."""

from __future__ import annotations

from collections.abc import Iterable

from catalogue.models import Category, PartKind
from fitout.jobs.sheet import SheetLine

from .plan import Marker, MarkerShape

SOURCES = frozenset(
    {
        PartKind.BATTERY,
        PartKind.CHARGING_SOURCE,
        PartKind.SOLAR_PANEL,
        PartKind.REGULATOR,
        PartKind.CONVERTER,
        PartKind.INVERTER,
    }
)
MOTORS = frozenset(
    {Category.PUMPS, Category.DECK, Category.MANOEUVRING, Category.ENGINES, Category.STEERING}
)
UNMARKED = frozenset({"", PartKind.GENERAL, PartKind.DATA_CABLE, "fuse_holder", "terminal"})
INSTRUMENTS = frozenset(
    {
        Category.LIGHTING,
        Category.NAV_LIGHTS,
        Category.NAVIGATION,
        Category.RADIO,
        Category.AUDIO,
    }
)


def shape_of(line: SheetLine) -> MarkerShape:
    if line.part_kind in SOURCES:
        return MarkerShape.SQUARE
    if line.part_category in MOTORS and line.part_kind == PartKind.LOAD:
        return MarkerShape.TRIANGLE
    if line.part_category in INSTRUMENTS or line.part_kind == PartKind.DATA_DEVICE:
        return MarkerShape.CIRCLE
    return MarkerShape.DIAMOND


HEAVY_KG = 8


def deserves_a_mark(line: SheetLine) -> bool:
    """What is wired, and what is heavy: the rest would only crowd the drawing."""
    if not line.is_placed:
        return False
    return line.part_kind not in UNMARKED or (line.unit_mass_kg or 0) >= HEAVY_KG


def markers_of(lines: Iterable[SheetLine]) -> list[Marker]:
    return [
        Marker(
            code=line.code,
            label=line.description,
            zone_code=line.zone_code,
            shape=shape_of(line),
            x_m=float(line.x_m),
            y_m=float(line.y_m),
            z_m=float(line.z_m),
        )
        for line in lines
        if line.x_m is not None
        and line.y_m is not None
        and line.z_m is not None
        and deserves_a_mark(line)
    ]
