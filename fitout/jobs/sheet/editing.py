"""Change, move and remove lines; every change is one entry that can be undone."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db.models import ProtectedError, RestrictedError

from catalogue.models import Condition
from fitout.jobs.models import Choice, Job, Line, Zone
from fitout.kit.money import quantity_text

from .adding import changing, next_position, set_conditions
from .errors import CannotRemove, SheetError

EDITABLE = frozenset(
    {
        "description",
        "quantity",
        "unit",
        "choice",
        "taken",
        "unit_cost",
        "sell_override",
        "override_reason",
        "standard_h",
        "mass_kg",
        "trade",
        "supplier",
        "x_m",
        "y_m",
        "z_m",
        "note",
    }
)


def edit(
    line: Line,
    *,
    by: Any,
    version: int,
    conditions: Iterable[Condition] | None = None,
    **changes: Any,
) -> Line:
    """Change fields of a line read at `version`; raises `StaleVersion` if it moved on."""
    unknown = set(changes) - EDITABLE
    if unknown:
        raise ValueError(f"not editable on a line: {', '.join(sorted(unknown))}")
    with changing(line.job, by=by, label=_edit_label(line, changes)) as change:
        change.watch(line)
        for name, value in changes.items():
            setattr(line, name, value)
        line.clean_own_fields()
        line.save_if_version(version, by=by)
        if conditions is not None:
            set_conditions(line, conditions, change)
        if line.parent_id is None and {"choice", "taken"} & set(changes):
            _follow(line, by, change, choice=line.choice, taken=line.taken)
    return line


def _edit_label(line: Line, changes: dict[str, Any]) -> str:
    code = code_of(line)
    stored = Line.objects.get(pk=line.pk)
    if "quantity" in changes and changes["quantity"] != stored.quantity:
        before, after = quantity_text(stored.quantity), quantity_text(changes["quantity"])
        return f"{code} quantity {before} to {after}"
    if changes.get("taken", stored.taken) != stored.taken:
        return f"{code} {'taken' if changes['taken'] else 'not taken'}: {line.description}"
    if "choice" in changes and changes["choice"] != stored.choice:
        now = "an option" if changes["choice"] == Choice.OPTION else "included"
        return f"{code} is now {now}"
    if "sell_override" in changes and changes["sell_override"] != stored.sell_override:
        return (
            f"{code} price set by hand"
            if changes["sell_override"] is not None
            else (f"{code} price computed again")
        )
    return f"{code} {line.description} changed"


def move_to_zone(line: Line, zone: Zone, *, by: Any) -> Line:
    """To the end of another zone, with all below it. Its place in the old zone is dropped."""
    if line.parent_id is not None:
        raise SheetError(f"{code_of(line)} stands in a kit and moves with it.")
    if zone.pk == line.zone_id:
        return line
    with changing(line.job, by=by, label=f"{code_of(line)} moved to {zone.name}") as change:
        change.watch(line)
        line.zone, line.position = zone, next_position(line.job, zone)
        line.x_m = line.y_m = line.z_m = None
        line.clean_own_fields()
        line.save_if_version(line.version, by=by)
        _follow(line, by, change, zone=zone, x_m=None, y_m=None, z_m=None)
    return line


def move_by(line: Line, steps: int, *, by: Any) -> Line:
    """Up (-1) or down (+1) among its neighbours; they exchange their numbers."""
    siblings = list(
        Line.objects.filter(job=line.job, zone=line.zone, parent=line.parent).order_by(
            "position", "id"
        )
    )
    at = next(i for i, sibling in enumerate(siblings) if sibling.pk == line.pk)
    to = at + steps
    if not 0 <= to < len(siblings) or to == at:
        return line
    other = siblings[to]
    label = f"{code_of(line)} moved {'up' if steps < 0 else 'down'}"
    with changing(line.job, by=by, label=label) as change:
        change.watch(line, other)
        line.position, other.position = other.position, line.position
        if line.position == other.position:
            line.position += steps
        line.save_if_version(line.version, by=by)
        other.save_if_version(other.version, by=by)
    return line


def remove(line: Line, *, by: Any) -> str:
    """Take a line off the sheet with all below it; answers its code."""
    code = code_of(line)
    try:
        with changing(line.job, by=by, label=f"{code} {line.description} removed") as change:
            change.removing(line)
            line.delete()
    except (ProtectedError, RestrictedError) as error:
        raise CannotRemove(_why_kept(code, error)) from error
    return code


def _why_kept(code: str, error: ProtectedError | RestrictedError) -> str:
    rows: Any = getattr(error, "protected_objects", None) or getattr(
        error, "restricted_objects", ()
    )
    first = next(iter(rows), None)
    what = f"{first._meta.verbose_name} {first}" if first is not None else "other entries"
    return f"{code} cannot be removed: {what} depends on it. Set its quantity or choice instead."


def _follow(line: Line, by: Any, change: Any, **values: Any) -> None:
    """What is below a line keeps to its zone and choice."""
    for child in below(line):
        change.watch(child)
        for name, value in values.items():
            setattr(child, name, value)
        child.save_if_version(child.version, by=by)


def below(line: Line) -> list[Line]:
    """All lines under a line, at any depth, parents first."""
    children: dict[int | None, list[Line]] = {}
    for row in Line.objects.filter(job_id=line.job_id).exclude(parent=None):
        children.setdefault(row.parent_id, []).append(row)
    found, queue = [], [line.pk]
    while queue:
        for child in children.get(queue.pop(0), ()):
            found.append(child)
            queue.append(child.pk)
    return found


def code_of(line: Line) -> str:
    """FD-01 for a top line, FD-01.2 for the second line in it."""
    if line.parent is None:
        return f"{line.zone.code}-{line.position:02d}"
    return f"{code_of(line.parent)}.{line.position}"


def line_of(job: Job, line_id: int) -> Line | None:
    return Line.objects.for_edit().filter(job=job, pk=line_id).first()
