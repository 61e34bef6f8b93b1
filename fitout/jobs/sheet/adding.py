"""Put lines on a build sheet. A part line keeps the cost and mass of the day it was added."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max

from catalogue.models import Condition, Kit, LabourOperation, Part, Supplier, TaxGroup, Trade
from fitout.jobs.models import Choice, Job, Line, LineKind, Stage, Zone
from fitout.jobs.models.jobs import OPEN_STAGES
from fitout.jobs.models.lines import Place
from fitout.kit import audit

from .errors import SheetClosed
from .offers import Offers

Point = tuple[Decimal, Decimal, Decimal]
NOWHERE: Place = (None, None, None)


@dataclass(frozen=True, kw_only=True)
class Details:
    """What may be said of any line when it is added."""

    quantity: Decimal = Decimal(1)
    choice: str = Choice.INCLUDED
    standard_h: Decimal | None = None
    conditions: tuple[Condition, ...] = ()
    at: Point | None = None
    note: str = ""


PLAIN = Details()


def add_part(job: Job, zone: Zone, part: Part, *, by: Any, details: Details = PLAIN) -> Line:
    if not part.active:
        raise ValidationError({"part": f"Part: {part.code} is no longer in use."})
    offers = Offers.of_parts([part.pk])
    values = {**part_values(part, offers), **usual_labour(part)}
    line = new_line(job, zone, details, **values)
    return _add(job, [line], by=by, details=details)


def usual_labour(part: Part) -> dict[str, Any]:
    """The time and trade a part brings when it is chosen alone; a kit holds its own labour."""
    operation = part.usual_operation
    if operation is None:
        return {}
    return {"standard_h": operation.standard_h, "trade_id": operation.trade_id}


def part_values(part: Part, offers: Offers) -> dict[str, Any]:
    """What a line takes over from its part and from the offer it is bought from."""
    return {
        "kind": LineKind.PART,
        "part": part,
        "trade_id": part.trade_id,
        "tax_group_id": part.tax_group_id,
        "description": part.description,
        "unit": part.unit,
        "unit_cost": offers.cost_of(part.pk),
        "mass_kg": part.mass_kg,
    }


def add_labour(
    job: Job, zone: Zone, operation: LabourOperation, *, by: Any, details: Details = PLAIN
) -> Line:
    if not operation.active:
        raise ValidationError({"operation": f"Operation: {operation.code} is no longer in use."})
    line = new_line(job, zone, details, **labour_values(operation, standard_tax_group()))
    return _add(job, [line], by=by, details=details)


def labour_values(operation: LabourOperation, tax_group: TaxGroup) -> dict[str, Any]:
    return {
        "kind": LineKind.LABOUR,
        "operation": operation,
        "trade_id": operation.trade_id,
        "tax_group": tax_group,
        "description": operation.description,
        "unit": "job",
        "standard_h": operation.standard_h,
    }


def add_subcontract(
    job: Job,
    zone: Zone,
    supplier: Supplier,
    *,
    description: str,
    unit_cost: Decimal,
    by: Any,
    trade: Trade | None = None,
    details: Details = PLAIN,
) -> Line:
    line = new_line(
        job,
        zone,
        details,
        kind=LineKind.SUBCONTRACT,
        supplier=supplier,
        trade=trade,
        tax_group=standard_tax_group(),
        description=description,
        unit="job",
        unit_cost=unit_cost,
    )
    return _add(job, [line], by=by, details=details)


def add_provisional(
    job: Job,
    zone: Zone,
    *,
    description: str,
    amount: Decimal,
    by: Any,
    trade: Trade | None = None,
    details: Details = PLAIN,
) -> Line:
    """A sum set aside for what is not decided yet; `amount` is our cost."""
    line = new_line(
        job,
        zone,
        details,
        kind=LineKind.PROVISIONAL,
        trade=trade,
        tax_group=standard_tax_group(),
        description=description,
        unit="sum",
        unit_cost=amount,
    )
    return _add(job, [line], by=by, details=details)


def add_customer_supplied(
    job: Job,
    zone: Zone,
    *,
    description: str,
    by: Any,
    part: Part | None = None,
    mass_kg: Decimal | None = None,
    trade: Trade | None = None,
    details: Details = PLAIN,
) -> Line:
    """Costs nothing; with a part it still becomes a device, a mass and a task."""
    line = new_line(
        job,
        zone,
        details,
        kind=LineKind.CUSTOMER_SUPPLIED,
        part=part,
        trade=trade or (part.trade if part else None),
        tax_group=part.tax_group if part else standard_tax_group(),
        description=description or (part.description if part else ""),
        unit=part.unit if part else "pc",
        mass_kg=mass_kg if mass_kg is not None or part is None else part.mass_kg,
    )
    return _add(job, [line], by=by, details=details)


def add_kit(job: Job, zone: Zone, kit: Kit, *, by: Any, details: Details = PLAIN) -> Line:
    """A kit line with all the kit holds below it, kits within it included."""
    from .kits import expand

    if not kit.active:
        raise ValidationError({"kit": f"Kit: {kit.code} is no longer in use."})
    top = new_line(job, zone, details, **kit_values(kit, standard_tax_group()))
    return _add(job, [top, *expand(top)], by=by, details=details)


def kit_values(kit: Kit, tax_group: TaxGroup) -> dict[str, Any]:
    return {
        "kind": LineKind.KIT,
        "kit": kit,
        "tax_group": tax_group,
        "description": kit.description,
        "unit": "kit",
    }


# Shared by adding and copying -------------------------------------------------------------


def new_line(job: Job, zone: Zone, details: Details, **values: Any) -> Line:
    x_m, y_m, z_m = details.at or NOWHERE
    if details.standard_h is not None:
        values["standard_h"] = details.standard_h
    return Line(
        job=job,
        zone=zone,
        quantity=details.quantity,
        choice=details.choice,
        x_m=x_m,
        y_m=y_m,
        z_m=z_m,
        note=details.note,
        **values,
    )


def _add(job: Job, lines: list[Line], *, by: Any, details: Details) -> Line:
    top = lines[0]
    with transaction.atomic():
        hold(job)
        top.position = next_position(job, top.zone)
        label = f"{top.zone.code}-{top.position:02d} {top.description} added"
        with changing(job, by=by, label=label) as change:
            insert(lines, by=by, change=change)
            set_conditions(top, details.conditions, change)
    return top


def insert(lines: Iterable[Line], *, by: Any, change: audit.Change) -> None:
    """Save lines whose parents stand before them."""
    for line in lines:
        line.changed_by = by
        if line.parent is not None:
            line.parent_id = line.parent.pk
        line.clean_own_fields()
        line.save()
        change.created(line)


def set_conditions(line: Line, wanted: Iterable[Condition], change: audit.Change) -> None:
    """Make the line's conditions exactly these, row by row, so that undo knows them."""
    through: Any = Line.conditions.through
    wanted_ids = {condition.pk for condition in wanted}
    present = list(through.objects.filter(line=line))
    for row in present:
        if row.condition_id not in wanted_ids:
            change.removing(row)
            row.delete()
    for condition_id in wanted_ids - {row.condition_id for row in present}:
        change.created(through.objects.create(line=line, condition_id=condition_id))


def next_position(job: Job, zone: Zone) -> int:
    top = job.lines.filter(zone=zone, parent=None).aggregate(last=Max("position"))
    return (top["last"] or 0) + 1


def standard_tax_group() -> TaxGroup:
    """Work and sums are taxed at the standard rate: the highest there is."""
    group = TaxGroup.objects.order_by("-rate_pct", "code").first()
    if group is None:
        raise ValidationError("There is no tax group yet; add one under Labour.")
    return group


def hold(job: Job) -> None:
    """Keep others from this sheet until we commit, so that no two lines get one number."""
    stage = Job.objects.select_for_update().values_list("stage", flat=True).get(pk=job.pk)
    if stage not in OPEN_STAGES:
        word = Stage(stage).label.lower()
        raise SheetClosed(f"{job.code} is {word}; its build sheet no longer changes.")


@contextmanager
def changing(job: Job, *, by: Any, label: str) -> Iterator[audit.Change]:
    """One undoable change of a job's build sheet."""
    with transaction.atomic():
        hold(job)
        with audit.tracked(actor=by, scope=job.scope, label=label, action="build_sheet") as change:
            yield change
