"""Where each part of a job stands, from needed to fitted: computed, never stored."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import models
from django.db.models import QuerySet, Sum

from catalogue.models import Part
from fitout.jobs.models import Job
from fitout.purchasing.models import (
    Movement,
    MovementKind,
    OrderStatus,
    PurchaseOrderLine,
    ReceiptLine,
)
from fitout.purchasing.models.orders import ReceiptLineQuerySet
from fitout.purchasing.models.stock import MovementQuerySet

ZERO = Decimal(0)
OPEN = (OrderStatus.ORDERED, OrderStatus.PART_RECEIVED)


class FollowUp(models.TextChoices):
    NEEDED = "needed", "Needed"
    ORDERED = "ordered", "Ordered"
    PART_RECEIVED = "part_received", "Part received"
    RECEIVED = "received", "Received"
    PICKED = "picked", "Picked"
    FITTED = "fitted", "Fitted"
    LEFT_OVER = "left_over", "Left over"


@dataclass(frozen=True, kw_only=True)
class Progress:
    """Quantities of one part on one job. `to_come` is on back-order with the suppliers."""

    drafted: Decimal = ZERO
    to_come: Decimal = ZERO
    due_on: date | None = None
    received: Decimal = ZERO
    from_stock: Decimal = ZERO
    picked: Decimal = ZERO
    fitted: Decimal = ZERO
    left_over: Decimal = ZERO
    returned: Decimal = ZERO

    @property
    def arrived(self) -> Decimal:
        """In the workshop for this job, whatever happened to it since."""
        return self.received + self.from_stock - self.returned

    @property
    def to_pick(self) -> Decimal:
        return max(ZERO, self.arrived - self.picked - self.left_over)

    def still_to_order(self, needed: Decimal) -> Decimal:
        return max(ZERO, needed - self.arrived - self.to_come)

    def is_late(self, today: date) -> bool:
        return self.to_come > 0 and self.due_on is not None and self.due_on < today

    def state(self, needed: Decimal) -> FollowUp:
        if needed <= 0:
            return FollowUp.LEFT_OVER
        if self.fitted >= needed:
            return FollowUp.FITTED
        if self.picked >= needed:
            return FollowUp.PICKED
        if self.arrived >= needed:
            return FollowUp.RECEIVED
        if self.arrived > 0:
            return FollowUp.PART_RECEIVED
        if self.to_come >= needed:
            return FollowUp.ORDERED
        return FollowUp.NEEDED


def progress_by_part(job: Job) -> dict[int, Progress]:
    """Progress of every part that was ever ordered, received or moved for the job: 4 queries."""
    return _progress(
        Movement.objects.filter(job=job),
        PurchaseOrderLine.objects.filter(order__job=job),
        ReceiptLine.objects.filter(order_line__order__job=job),
    )


def progress_of(job: Job, part: Part) -> Progress:
    """Progress of one part; nothing where it was never ordered, received or moved."""
    found = _progress(
        Movement.objects.filter(job=job, part=part),
        PurchaseOrderLine.objects.filter(order__job=job, part=part),
        ReceiptLine.objects.filter(order_line__order__job=job, order_line__part=part),
    )
    return found.get(part.pk, Progress())


def _progress(
    moved: MovementQuerySet, ordered: QuerySet[PurchaseOrderLine], came: ReceiptLineQuerySet
) -> dict[int, Progress]:
    figures: defaultdict[int, dict[str, Decimal]] = defaultdict(dict)
    for part_id, kind, quantity in _movements(moved):
        if kind in FIGURE_OF:
            figures[part_id][FIGURE_OF[kind]] = quantity
    due: dict[int, date | None] = {}
    for part_id, drafted, to_come, due_on in _ordered(ordered, came):
        figures[part_id]["drafted"] = drafted
        figures[part_id]["to_come"] = to_come
        due[part_id] = due_on
    return {
        part_id: Progress(due_on=due.get(part_id), **amounts)
        for part_id, amounts in figures.items()
    }


FIGURE_OF: dict[str, str] = {
    MovementKind.RECEIVED: "received",
    MovementKind.FROM_STOCK: "from_stock",
    MovementKind.PICKED: "picked",
    MovementKind.FITTED: "fitted",
    MovementKind.LEFT_OVER: "left_over",
    MovementKind.RETURNED: "returned",
}


def _movements(moved: MovementQuerySet) -> list[tuple[int, str, Decimal]]:
    """Sums by part and kind; a movement put right and the one that put it right cancel out."""
    rows = moved.standing()
    return list(rows.values_list("part", "kind").annotate(total=Sum("quantity")).order_by())


def _ordered(
    ordered: QuerySet[PurchaseOrderLine], receipts: ReceiptLineQuerySet
) -> list[tuple[int, Decimal, Decimal, date | None]]:
    lines = ordered.filter(order__status__in=(*OPEN, OrderStatus.DRAFT)).values_list(
        "pk", "part_id", "quantity", "order__status", "order__due_on"
    )
    came = receipts.came()
    totals: defaultdict[int, list[Decimal]] = defaultdict(lambda: [ZERO, ZERO])
    due: dict[int, date | None] = {}
    for pk, part_id, quantity, status, due_on in lines:
        if status == OrderStatus.DRAFT:
            totals[part_id][0] += quantity
            continue
        open_quantity = max(ZERO, quantity - came.get(pk, ZERO))
        totals[part_id][1] += open_quantity
        if open_quantity and due_on is not None:
            due[part_id] = max(due_on, due.get(part_id) or due_on)
    return [(part, drafted, to_come, due.get(part)) for part, (drafted, to_come) in totals.items()]
