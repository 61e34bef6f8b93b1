"""The maintenance list: what each part asks for, how often, first when."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from catalogue.models import Part
from fitout.handover.models.register import months_after
from fitout.jobs.models import Job
from fitout.jobs.sheet import sheet_lines


@dataclass(frozen=True, kw_only=True)
class MaintenanceRow:
    part_code: str
    description: str
    zones: tuple[str, ...]
    what: str
    months: int | None
    first_on: date | None

    @property
    def every(self) -> str:
        if self.months is None:
            return "as needed"
        if self.months % 12 == 0:
            years = self.months // 12
            return "every year" if years == 1 else f"every {years} years"
        return "every month" if self.months == 1 else f"every {self.months} months"


def maintenance_of(job: Job, handed_over_on: date) -> list[MaintenanceRow]:
    """Soonest first; each part once, with the zones it is in."""
    zones: dict[int, dict[str, None]] = {}
    for line in sheet_lines(job):
        if line.counts and line.part_id is not None:
            zones.setdefault(line.part_id, {})[line.zone_code] = None
    parts = Part.objects.filter(pk__in=zones).exclude(maintenance="")
    rows = [
        MaintenanceRow(
            part_code=part.code,
            description=part.description,
            zones=tuple(zones[part.pk]),
            what=part.maintenance,
            months=part.maintenance_months,
            first_on=(
                months_after(handed_over_on, part.maintenance_months)
                if part.maintenance_months
                else None
            ),
        )
        for part in parts
    ]
    return sorted(rows, key=lambda row: (row.first_on or date.max, row.part_code))
