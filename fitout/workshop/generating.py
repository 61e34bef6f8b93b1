"""Tasks from the build sheet's labour: one per zone, trade and phase, in the order of the trade.

A zone's preparation comes before its first fix, that before its second fix, that before its
finish; tests come last, after everything of their trade. Generating again keeps what people
did: tasks that were started, assigned by hand or have booked time are never removed.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from django.db import transaction

from catalogue.models import Trade
from catalogue.models.labour import Phase
from electrical.models import Circuit
from fitout.jobs.models import Job, LineKind, Zone
from fitout.jobs.sheet import SheetLine, sheet_lines
from fitout.kit.audit import record
from fitout.kit.models import User
from fitout.workshop.circuit_times import CircuitTimes
from fitout.workshop.models import Task, TaskStatus

ELECTRICAL = "electrical"
WIRING_PHASES = (Phase.FIRST_FIX, Phase.SECOND_FIX)
PHASE_ORDER = {phase: place for place, phase in enumerate(Phase.values)}
HUNDREDTH = Decimal("0.01")


@dataclass
class Draft:
    """A task as it should be."""

    key: str
    title: str
    phase: str
    zone_id: int
    trade_id: int | None = None
    supplier_id: int | None = None
    hours: Decimal = Decimal(0)
    line_ids: list[int] = field(default_factory=list)
    circuit_ids: list[int] = field(default_factory=list)


@dataclass(frozen=True)
class Generated:
    added: int
    changed: int
    removed: int
    kept: int


def drafts_of(job: Job) -> list[Draft]:
    """The tasks the build sheet and the circuits ask for, in working order."""
    zones = {zone.pk: zone for zone in job.vessel.zones.all()}
    trades = {trade.pk: trade for trade in Trade.objects.all()}
    drafts: dict[str, Draft] = {}
    lines = [line for line in sheet_lines(job) if line.counts]
    for line in lines:
        _take_line(line, zones, trades, drafts)
    _take_parts(lines, drafts)
    _take_circuits(job, zones, trades, drafts)
    times = CircuitTimes(job)
    for draft in drafts.values():
        if draft.circuit_ids and not draft.hours:
            draft.hours = times.hours(draft.circuit_ids, draft.phase)
    return sorted(
        drafts.values(),
        key=lambda draft: (
            PHASE_ORDER[draft.phase],
            zones[draft.zone_id].position,
            trades[draft.trade_id].position if draft.trade_id else 0,
            draft.key,
        ),
    )


def _take_line(
    line: SheetLine, zones: dict[int, Zone], trades: dict[int, Trade], drafts: dict[str, Draft]
) -> None:
    if line.kind == LineKind.SUBCONTRACT:
        drafts[f"line:{line.id}"] = Draft(
            key=f"line:{line.id}",
            title=line.description,
            phase=Phase.PREPARATION,
            zone_id=line.zone_id,
            trade_id=line.trade_id,
            supplier_id=line.supplier_id,
            hours=line.labour_h_total,
            line_ids=[line.id],
        )
    elif line.labour_h_total > 0 and line.trade_id is not None:
        phase = line.phase or Phase.SECOND_FIX
        draft = _draft(zones[line.zone_id], trades[line.trade_id], phase, drafts)
        draft.hours += line.labour_h_total
        draft.line_ids.append(line.id)


def _take_parts(lines: Sequence[SheetLine], drafts: dict[str, Draft]) -> None:
    """Parts without hours of their own are picked for the work beside them: of their kit first,
    then of their trade in the zone, then of anybody in the zone; second fix where there is a
    choice."""
    by_id = {line.id: line for line in lines}
    taken = {pk for draft in drafts.values() for pk in draft.line_ids}
    for line in lines:
        if line.kind not in (LineKind.PART, LineKind.CUSTOMER_SUPPLIED) or line.id in taken:
            continue
        best = max(drafts.values(), key=lambda draft: _fit(line, draft, by_id), default=None)
        if best is not None and _fit(line, best, by_id) > (0,):
            best.line_ids.append(line.id)


def _fit(line: SheetLine, draft: Draft, by_id: dict[int, SheetLine]) -> tuple[int, ...]:
    if draft.zone_id != line.zone_id or draft.supplier_id is not None:
        return (0,)
    in_kit = line.parent_id is not None and any(
        by_id[pk].parent_id == line.parent_id for pk in draft.line_ids
    )
    return (
        1,
        int(in_kit),
        int(draft.trade_id == line.trade_id),
        int(draft.phase == Phase.SECOND_FIX),
        int(draft.phase != Phase.TEST),
    )


def _draft(zone: Zone, trade: Trade, phase: str, drafts: dict[str, Draft]) -> Draft:
    key = f"{zone.pk}/{trade.code}/{phase}"
    if key not in drafts:
        words = "" if phase == Phase.TEST else f" {Phase(phase).label.lower()}"
        title = f"{trade.name}{words}: {zone.name}"
        drafts[key] = Draft(key=key, title=title, phase=phase, zone_id=zone.pk, trade_id=trade.pk)
    return drafts[key]


def _take_circuits(
    job: Job, zones: dict[int, Zone], trades: dict[int, Trade], drafts: dict[str, Draft]
) -> None:
    """A circuit is run at first fix and connected at second fix, in the zone where it ends."""
    electrical = next((trade for trade in trades.values() if trade.code == ELECTRICAL), None)
    if electrical is None:
        return
    for circuit in Circuit.objects.filter(job=job).prefetch_related("devices"):
        ends = [device.zone_id for device in circuit.devices.all()]
        if not ends:
            continue
        for phase in WIRING_PHASES:
            _draft(zones[ends[-1]], electrical, phase, drafts).circuit_ids.append(circuit.pk)


@transaction.atomic
def generate(job: Job, *, by: User) -> Generated:
    job = Job.objects.select_for_update().get(pk=job.pk)
    drafts = drafts_of(job)
    stored = {task.source_key: task for task in job.tasks.exclude(source_key="")}
    added = changed = 0
    tasks: list[tuple[Draft, Task]] = []
    for position, draft in enumerate(drafts, 1):
        task = stored.pop(draft.key, None)
        if task is None:
            task = _new(job, draft, position)
            added += 1
        else:
            changed += _refresh(task, draft, position, by=by)
        task.lines.set(draft.line_ids)
        task.circuits.set(draft.circuit_ids)
        tasks.append((draft, task))
    removed, kept = _drop(stored.values())
    _link(tasks)
    label = f"Tasks generated: {added} new, {changed} changed, {removed} removed"
    record(by, "generate", job, scope=job.scope, label=label)
    return Generated(added=added, changed=changed, removed=removed, kept=kept)


def _new(job: Job, draft: Draft, position: int) -> Task:
    return Task.objects.create(
        job=job,
        zone_id=draft.zone_id,
        trade_id=draft.trade_id,
        subcontractor_id=draft.supplier_id,
        phase=draft.phase,
        title=draft.title,
        source_key=draft.key,
        position=position,
        planned_h=draft.hours.quantize(HUNDREDTH),
    )


def _refresh(task: Task, draft: Draft, position: int, *, by: User) -> bool:
    hours = draft.hours.quantize(HUNDREDTH)
    if task.status == TaskStatus.DONE:
        return False
    is_changed = task.planned_h != hours or task.title != draft.title
    if is_changed or task.position != position:
        task.planned_h, task.title, task.position = hours, draft.title, position
        task.save_if_version(task.version, by=by)
    return is_changed


def is_touched(task: Task) -> bool:
    """Whether somebody has begun with it, so that it must stay."""
    return (
        task.status != TaskStatus.TO_DO
        or task.assigned_to_id is not None
        or task.booked.exists()
        or task.snags.exists()
        or task.picked.exists()
        or task.work_orders.exists()
    )


def _drop(tasks: Iterable[Task]) -> tuple[int, int]:
    removed = kept = 0
    for task in tasks:
        if is_touched(task):
            kept += 1
        else:
            task.delete()
            removed += 1
    return removed, kept


def _link(tasks: Sequence[tuple[Draft, Task]]) -> None:
    by_zone: defaultdict[int, dict[str, list[Task]]] = defaultdict(lambda: defaultdict(list))
    for draft, task in tasks:
        if draft.phase != Phase.TEST:
            by_zone[draft.zone_id][draft.phase].append(task)
    for draft, task in tasks:
        if draft.phase == Phase.TEST:
            task.after.set(_before_test(draft, tasks))
        else:
            task.after.set(_phase_before(draft.phase, by_zone[draft.zone_id]))


def _phase_before(phase: str, in_zone: dict[str, list[Task]]) -> list[Task]:
    """The tasks of the nearest earlier phase in the zone."""
    earlier = [p for p in in_zone if PHASE_ORDER[p] < PHASE_ORDER[phase]]
    return in_zone[max(earlier, key=PHASE_ORDER.__getitem__)] if earlier else []


def _before_test(test: Draft, tasks: Sequence[tuple[Draft, Task]]) -> list[Task]:
    """A test waits for all work of its trade; a test trade waits for all electrical work."""
    building = [(draft, task) for draft, task in tasks if draft.phase != Phase.TEST]
    own = [task for draft, task in building if draft.trade_id == test.trade_id]
    if own:
        return own
    last = max((PHASE_ORDER[draft.phase] for draft, _ in building), default=-1)
    return [task for draft, task in building if PHASE_ORDER[draft.phase] == last]
