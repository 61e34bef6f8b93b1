"""Bring the costs of part lines up to today's offers."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from fitout.jobs.models import Job, Line, LineKind

from .adding import changing
from .offers import Offers


@dataclass(frozen=True)
class CostChange:
    line: Line
    before: Decimal
    after: Decimal


def cost_changes(job: Job) -> list[CostChange]:
    """Part lines whose offer asks something else than the line says."""
    lines = list(Line.objects.filter(job=job, kind=LineKind.PART).select_related("job", "part"))
    offers = Offers.of_parts([line.part_id for line in lines if line.part_id])
    return [
        CostChange(line, line.unit_cost, offers.cost_of(line.part_id))
        for line in lines
        if line.part_id
        and offers.knows(line.part_id)
        and offers.cost_of(line.part_id) != line.unit_cost
    ]


def refresh_costs(job: Job, *, by: Any) -> list[CostChange]:
    changes = cost_changes(job)
    if not changes:
        return []
    with changing(job, by=by, label=f"Costs of {len(changes)} lines brought up to date") as change:
        for found in changes:
            change.watch(found.line)
            found.line.unit_cost = found.after
            found.line.save_if_version(found.line.version, by=by)
    return changes
