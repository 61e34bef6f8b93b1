"""The knock-on strip: the figures as they stand and what the last change moved."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from django.utils import timezone

from fitout.jobs.models import Job
from fitout.kit.models import AuditEntry
from fitout.kit.money import money_text, quantity_text
from fitout.knockon import Figures, Move, difference, figures
from fitout.models import Snapshot

FLAG_FOR = timedelta(seconds=12)
UNDO_FOR = timedelta(minutes=15)
MINUS = "\N{MINUS SIGN}"


@dataclass(frozen=True)
class Strip:
    figures: Figures
    flags: dict[str, str]
    last: AuditEntry | None
    may_undo: bool


def read_strip(job: Job, *, now: datetime) -> Strip:
    current = figures(job, today=timezone.localdate(now))
    last = AuditEntry.objects.in_scope(job.scope).select_related("actor", "undone_by").first()
    before = _remember(job, current, last, now)
    return Strip(
        figures=current,
        flags={} if before is None else flags(difference(before, current), job.currency),
        last=last,
        may_undo=last is not None and last.is_open_to_undo and now - last.at < UNDO_FOR,
    )


def _remember(job: Job, current: Figures, last: AuditEntry | None, now: datetime) -> Figures | None:
    """Keep the figures; answer those from before the last change while its flags stand."""
    entry_id = last.pk if last else 0
    snapshot = Snapshot.objects.filter(job=job).first()
    if snapshot is None:
        Snapshot.objects.update_or_create(
            job=job, defaults={"entry_id": entry_id, "current": current.stored(), "moved_at": now}
        )
        return None
    if snapshot.entry_id != entry_id:
        snapshot.before, snapshot.current = snapshot.current, current.stored()
        snapshot.entry_id, snapshot.moved_at = entry_id, now
        snapshot.save()
    if snapshot.before is None or now - snapshot.moved_at > FLAG_FOR:
        return None
    return Figures.restored(snapshot.before)


def flags(moves: dict[str, Move], currency: str) -> dict[str, str]:
    """The flag of each cell that moved, in the words of the strip."""
    found: dict[str, str] = {}
    for cell, names in CELLS.items():
        move = next((moves[name] for name in names if name in moves), None)
        if move is not None:
            found[cell] = _words(move, currency)
    return found


CELLS: dict[str, tuple[str, ...]] = {
    "price": ("gross", "margin_pct", "options_net"),
    "labour": ("hours", "booked_h"),
    "energy": ("autonomy_days", "use_ah", "usable_ah"),
    "mass": ("mass_kg", "centre_x_m", "masses_unknown"),
    "promise": ("ready_on",),
    "findings": ("stops", "attentions", "cannot_tells", "notes", "circuits", "circuits_passed"),
}
UNITS = {
    "hours": "h",
    "booked_h": "h",
    "autonomy_days": "days",
    "use_ah": "Ah",
    "usable_ah": "Ah",
    "mass_kg": "kg",
    "centre_x_m": "m",
    "margin_pct": "% margin",
    "masses_unknown": "without mass",
    "ready_on": "days",
    "stops": "stop",
    "attentions": "attention",
    "cannot_tells": "cannot tell",
    "notes": "note",
    "circuits": "circuits",
    "circuits_passed": "pass",
}


def _words(move: Move, currency: str) -> str:
    if move.delta is None:
        return "changed"
    sign = MINUS if move.delta < 0 else "+"
    size = abs(move.delta)
    if move.figure in ("gross", "options_net"):
        return f"{sign}{money_text(size, currency)}"
    return f"{sign}{quantity_text(Decimal(size), 2)}\N{NO-BREAK SPACE}{UNITS[move.figure]}"
