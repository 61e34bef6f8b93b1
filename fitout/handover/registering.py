"""The register follows the build sheet: every piece whose part is tracked by serial number."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from django.db import transaction
from django.db.models import Max

from catalogue.models import Part
from fitout.handover.models import RegisterItem
from fitout.jobs.models import Job
from fitout.jobs.sheet import SheetLine, sheet_lines
from fitout.kit.audit import record
from fitout.kit.models import User
from fitout.purchasing.models import Movement, MovementKind, SerialNumber

MOST_PIECES = 50


@transaction.atomic
def refresh(job: Job, *, by: User) -> int:
    """One item per piece of each registered line; what a person wrote is kept."""
    Job.objects.select_for_update().get(pk=job.pk)
    lines = [line for line in sheet_lines(job) if line.counts and line.part_id is not None]
    parts = Part.objects.in_bulk({line.part_id for line in lines if line.part_id})
    wanted = [
        (line, part)
        for line in lines
        if (part := parts.get(line.part_id or 0)) is not None and part.serial_tracked
    ]
    stored = {(item.line_id, item.ordinal): item for item in job.register.all()}
    zones = dict(job.vessel.zones.values_list("pk", "name"))
    fitted = fitted_days(job)
    added = 0
    for line, part in wanted:
        for ordinal in pieces(line):
            item = stored.pop((line.id, ordinal), None)
            if item is None:
                item, added = RegisterItem(job=job, line_id=line.id, ordinal=ordinal), added + 1
            _fill(item, line, part, zones.get(line.zone_id, ""), fitted.get(part.pk))
            item.changed_by = by
            item.save()
    for item in stored.values():
        item.delete()
    _give_serials(job)
    record(by, "register", job, scope=job.scope, label=f"Register brought up to date: {added} new")
    return added


def pieces(line: SheetLine) -> Iterable[int]:
    return range(1, min(int(line.effective_quantity), MOST_PIECES) + 1)


def fitted_days(job: Job) -> dict[int, date]:
    """The day a part was last fitted, by part."""
    rows = Movement.objects.standing().filter(job=job, kind=MovementKind.FITTED)
    days = rows.values_list("part").annotate(last=Max("at")).order_by()
    return {part_id: at.date() for part_id, at in days}


def _fill(item: RegisterItem, line: SheetLine, part: Part, zone: str, day: date | None) -> None:
    item.description = line.description
    item.part_code = part.code
    item.zone_name = zone
    item.warranty_months = part.warranty_months
    item.fitted_on = item.fitted_on or day
    item.renew_warranty()


def _give_serials(job: Job) -> None:
    """Serial numbers from the goods receipts go to the items of their part that have none."""
    items = list(job.register.order_by("part_code", "line_id", "ordinal"))
    used = {item.serial for item in items if item.serial}
    free: dict[str, list[str]] = {}
    for code, serial in SerialNumber.objects.filter(job=job).values_list("part__code", "serial"):
        if serial not in used:
            free.setdefault(code, []).append(serial)
    for item in items:
        if not item.serial and free.get(item.part_code):
            item.serial = free[item.part_code].pop(0)
            item.save(update_fields=["serial"])
