"""Copy a build sheet from another job, zone by zone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from fitout.jobs.models import Job, Line, Zone
from fitout.jobs.models.lines import Place

from .adding import NOWHERE, changing, insert, next_position, set_conditions
from .errors import CannotCopy
from .offers import Offers

MILLIMETRE = Decimal("0.001")
TAKEN_OVER = (
    "kind",
    "part",
    "kit",
    "operation",
    "supplier",
    "trade",
    "tax_group",
    "description",
    "quantity",
    "unit",
    "choice",
    "unit_cost",
    "standard_h",
    "mass_kg",
    "note",
)


@dataclass(frozen=True)
class Copied:
    lines: int
    without_zone: int


def zones_alike(source: Job, target: Job) -> dict[int, Zone]:
    """Zones with the same code in both vessels, by the source zone's id."""
    by_code = {zone.code: zone for zone in target.vessel.zones.all()}
    return {
        zone.pk: by_code[zone.code] for zone in source.vessel.zones.all() if zone.code in by_code
    }


def copy_from(job: Job, source: Job, *, zones: Mapping[int, Zone], by: Any) -> Copied:
    """Add every line of `source` whose zone is in `zones`, at today's costs.

    Prices set by hand and taken options belong to the other customer and stay behind.
    """
    if source.pk == job.pk:
        raise CannotCopy("Copy from: choose another job than this one.")
    lines = list(
        Line.objects.filter(job=source)
        .select_related(*(name for name in TAKEN_OVER if name in RELATED))
        .select_related("zone")
        .prefetch_related("conditions")
        .order_by("zone__position", "position", "id")
    )
    wanted = [line for line in lines if line.zone_id in zones]
    if not wanted:
        raise CannotCopy(f"Copy from: {source.code} has no line in the zones chosen.")
    offers = Offers.of_parts([line.part_id for line in wanted if line.part_id])
    with changing(job, by=by, label=f"{len(wanted)} lines copied from {source.code}") as change:
        _Copy(job, zones, offers, by, change).run(wanted)
    return Copied(lines=len(wanted), without_zone=len(lines) - len(wanted))


RELATED = frozenset({"part", "kit", "operation", "supplier", "trade", "tax_group"})


class _Copy:
    def __init__(
        self, job: Job, zones: Mapping[int, Zone], offers: Offers, by: Any, change: Any
    ) -> None:
        self.job = job
        self.zones = zones
        self.offers = offers
        self.by = by
        self.change = change
        self.made: dict[int, Line] = {}
        self.next = {zone.pk: next_position(job, zone) for zone in set(zones.values())}

    def run(self, lines: list[Line]) -> None:
        """Parents before children, however the rows came."""
        waiting = list(lines)
        while waiting:
            ready = [x for x in waiting if x.parent_id is None or x.parent_id in self.made]
            if not ready:
                raise CannotCopy("Copy from: some lines stand under a line that is not copied.")
            for line in ready:
                self._copy(line)
            taken = {line.pk for line in ready}
            waiting = [line for line in waiting if line.pk not in taken]

    def _copy(self, line: Line) -> None:
        zone = self.zones[line.zone_id]
        copy = Line(job=self.job, zone=zone, **{name: getattr(line, name) for name in TAKEN_OVER})
        if line.part_id and line.kind == "part" and self.offers.knows(line.part_id):
            copy.unit_cost = self.offers.cost_of(line.part_id)
        if line.parent_id is None:
            copy.position = self.next[zone.pk]
            self.next[zone.pk] += 1
        else:
            copy.parent, copy.position = self.made[line.parent_id], line.position
        copy.set_place(place_in(zone, line))
        insert([copy], by=self.by, change=self.change)
        set_conditions(copy, line.conditions.all(), self.change)
        self.made[line.pk] = copy


def place_in(zone: Zone, line: Line) -> Place:
    """The same relative place in another zone's box."""
    x_m, y_m, z_m = line.place
    if x_m is None or y_m is None or z_m is None:
        return NOWHERE
    old = line.zone
    return (
        _moved(x_m, old.x_min_m, old.x_max_m, zone.x_min_m, zone.x_max_m),
        _moved(y_m, old.y_min_m, old.y_max_m, zone.y_min_m, zone.y_max_m),
        _moved(z_m, old.z_min_m, old.z_max_m, zone.z_min_m, zone.z_max_m),
    )


def _moved(
    value: Decimal, low: Decimal, high: Decimal, to_low: Decimal, to_high: Decimal
) -> Decimal:
    share = (value - low) / (high - low)
    return (to_low + share * (to_high - to_low)).quantize(MILLIMETRE, rounding=ROUND_HALF_UP)
