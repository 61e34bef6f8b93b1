"""Parts on the move in the workshop: picked for the job, fitted, left over, put right."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from catalogue.models import Part
from fitout.jobs.models import Job
from fitout.kit.audit import record
from fitout.kit.models import User
from fitout.kit.money import quantity_text
from fitout.purchasing.followup import Progress, progress_of
from fitout.purchasing.models import Movement, MovementKind


class CannotMove(Exception):
    """The reason, as a sentence naming the part and the limit."""


def limit_of(progress: Progress, kind: str) -> Decimal | None:
    """The most that may move that way now; None when nothing limits it."""
    limits: dict[str, Decimal] = {
        MovementKind.PICKED: progress.to_pick,
        MovementKind.FITTED: progress.picked - progress.fitted,
        MovementKind.LEFT_OVER: progress.arrived - progress.fitted - progress.left_over,
        MovementKind.RETURNED: progress.to_pick,
    }
    return limits.get(kind)


def next_move(progress: Progress) -> dict[str, str | Decimal]:
    """What most likely happens next to a part, for the form."""
    for kind in (MovementKind.PICKED, MovementKind.FITTED):
        most = limit_of(progress, kind)
        if most is not None and most > 0:
            return {"kind": kind.value, "quantity": most}
    return {}


@transaction.atomic
def move(
    job: Job,
    part: Part,
    kind: str,
    quantity: Decimal,
    *,
    by: User,
    at: datetime,
    note: str = "",
) -> Movement:
    Job.objects.select_for_update().get(pk=job.pk)
    if kind == MovementKind.RECEIVED:
        raise CannotMove(f"{part.code}: goods come in through a goods receipt.")
    if quantity <= 0:
        raise CannotMove(f"{part.code}: quantity above 0.")
    limit = limit_of(progress_of(job, part), kind)
    word = MovementKind(kind).label.lower()
    if limit is not None and quantity > limit:
        raise CannotMove(
            f"{part.code}: {quantity_text(quantity)} {part.unit} {word}, but at most "
            f"{quantity_text(max(limit, Decimal(0)))} {part.unit} can be."
        )
    movement = Movement.objects.create(
        job=job, part=part, kind=kind, quantity=quantity, at=at, by=by, note=note
    )
    label = f"{part.code}: {quantity_text(quantity)} {part.unit} {word}"
    record(by, "move", movement, scope=job.scope, label=label)
    return movement


@transaction.atomic
def put_right(movement: Movement, *, by: User, at: datetime) -> Movement:
    """Cancel a slip; both stay on record."""
    Job.objects.select_for_update().get(pk=movement.job_id)
    if movement.kind == MovementKind.RECEIVED:
        raise CannotMove("A goods receipt stays; return the goods instead.")
    if movement.reverses_id or Movement.objects.filter(reverses=movement).exists():
        raise CannotMove("This movement was put right already.")
    if movement.kind == MovementKind.PICKED:
        progress = progress_of(movement.job, movement.part)
        if progress.picked - movement.quantity < progress.fitted:
            raise CannotMove(f"{movement.part.code} is fitted already; put that right first.")
    reversal = Movement.objects.create(
        job=movement.job,
        part=movement.part,
        kind=movement.kind,
        quantity=movement.quantity,
        reverses=movement,
        at=at,
        by=by,
    )
    label = f"{movement.part.code}: {movement.get_kind_display().lower()} put right"
    record(by, "move", reversal, scope=movement.job.scope, label=label)
    return reversal
