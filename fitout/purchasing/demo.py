"""Demo: orders sent and goods received, through the functions the forms call."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from fitout.jobs.models import Job
from fitout.kit.models import User
from fitout.purchasing.models import OrderStatus, PurchaseOrder, PurchaseOrderLine
from fitout.purchasing.ordering import cancel, propose, send
from fitout.purchasing.receiving import Arrival, receive, to_come


def order_everything(job: Job, *, by: User, at: datetime, today: date, left: int = 0) -> None:
    """Draft and send all orders but the last `left`: one of those is dropped again, so that its
    parts are still to be ordered, and the others stay drafts."""
    drafts = propose(job, by=by, today=today)
    for minute, draft in enumerate(drafts[: len(drafts) - left]):
        send(draft, by=by, at=at + timedelta(minutes=4 * minute), today=today)
    if left > 1:
        cancel(drafts[-1], by=by)


def receive_everything(job: Job, *, by: User, at: datetime, left: int = 0) -> None:
    """Book in every order but the `left` due last; of those the first comes in part."""
    ordered = PurchaseOrder.objects.filter(job=job, status=OrderStatus.ORDERED)
    orders = list(ordered.order_by("due_on", "sequence"))
    complete = orders[: len(orders) - left]
    for number, order in enumerate(complete):
        _receive(order, by=by, at=at + timedelta(hours=number), share_lines=None)
    for order in orders[len(complete) : len(complete) + 1]:
        _receive(order, by=by, at=at + timedelta(hours=len(complete)), share_lines=2)


def _receive(order: PurchaseOrder, *, by: User, at: datetime, share_lines: int | None) -> None:
    items = to_come(order)
    if share_lines is not None:
        items = items[: max(1, len(items) // share_lines)]
    arrivals = [
        Arrival(line_id=item.line.pk, quantity=item.open, serials=_serials(order, item.line))
        for item in items
    ]
    receive(order, arrivals, by=by, at=at, delivery_note=f"DN {order.sequence:04d}")


def _serials(order: PurchaseOrder, line: PurchaseOrderLine) -> tuple[str, ...]:
    if not line.part.serial_tracked:
        return ()
    count = int(line.quantity)
    return tuple(f"{line.part.code}-{order.sequence:04d}-{n:02d}" for n in range(1, count + 1))
