"""Goods receipts: what came, what was refused, and the serial numbers with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from fitout.kit.audit import record
from fitout.kit.models import User
from fitout.kit.money import quantity_text
from fitout.kit.numbering import next_number
from fitout.kit.text import counted
from fitout.purchasing.models import (
    GoodsReceipt,
    Movement,
    MovementKind,
    OrderStatus,
    PurchaseOrder,
    PurchaseOrderLine,
    ReceiptLine,
    SerialNumber,
)

ZERO = Decimal(0)


class CannotReceive(Exception):
    """The reason, as a sentence; `line_id` names the order line it is about."""

    def __init__(self, reason: str, line_id: int | None = None) -> None:
        self.line_id = line_id
        super().__init__(reason)


@dataclass(frozen=True, kw_only=True)
class Arrival:
    """What came of one order line. Rejected goods stay on back-order."""

    line_id: int
    quantity: Decimal = ZERO
    rejected: Decimal = ZERO
    serials: tuple[str, ...] = field(default=())


@dataclass(frozen=True, kw_only=True)
class ToCome:
    line: PurchaseOrderLine
    received: Decimal

    @property
    def open(self) -> Decimal:
        return max(ZERO, self.line.quantity - self.received)


def to_come(order: PurchaseOrder) -> list[ToCome]:
    came = ReceiptLine.objects.filter(order_line__order=order).came()
    return [
        ToCome(line=line, received=came.get(line.pk, ZERO))
        for line in order.lines.select_related("part")
    ]


@transaction.atomic
def receive(
    order: PurchaseOrder,
    arrivals: Sequence[Arrival],
    *,
    by: User,
    at: datetime,
    delivery_note: str = "",
    remark: str = "",
) -> GoodsReceipt:
    order = PurchaseOrder.objects.select_for_update().get(pk=order.pk)
    if order.status not in (OrderStatus.ORDERED, OrderStatus.PART_RECEIVED):
        raise CannotReceive(f"{order} is {order.get_status_display().lower()}; nothing is to come.")
    expected = {item.line.pk: item for item in to_come(order)}
    came = [arrival for arrival in arrivals if arrival.quantity or arrival.rejected]
    if not came:
        raise CannotReceive("Goods receipt: say for one line at least what came.")
    for arrival in came:
        _check(arrival, expected)
    receipt = GoodsReceipt.objects.create(
        order=order,
        sequence=next_number("goods_receipt"),
        received_at=at,
        received_by=by,
        delivery_note=delivery_note,
        remark=remark,
    )
    for arrival in came:
        _book(receipt, expected[arrival.line_id].line, arrival, by=by, at=at)
    _move_on(order, by=by)
    label = f"{receipt}: {counted(len(came), 'line')} of {order} received"
    record(by, "receive", receipt, scope=order.job.scope, label=label)
    return receipt


def _check(arrival: Arrival, expected: dict[int, ToCome]) -> None:
    item = expected.get(arrival.line_id)
    if item is None:
        raise CannotReceive("Goods receipt: a line that is not on this order.", arrival.line_id)
    code, unit = item.line.part.code, item.line.unit
    if arrival.quantity < 0 or arrival.rejected < 0:
        raise CannotReceive(f"{code}: quantities are 0 or more.", arrival.line_id)
    if arrival.quantity > item.open:
        raise CannotReceive(
            f"{code}: {quantity_text(arrival.quantity)} {unit} came, but only "
            f"{quantity_text(item.open)} {unit} are to come on this order.",
            arrival.line_id,
        )
    if arrival.rejected + arrival.quantity > item.open:
        raise CannotReceive(
            f"{code}: accepted and rejected together are more than the "
            f"{quantity_text(item.open)} {unit} to come.",
            arrival.line_id,
        )
    _check_serials(arrival, item.line)


def _check_serials(arrival: Arrival, line: PurchaseOrderLine) -> None:
    serials, code = arrival.serials, line.part.code
    if not line.part.serial_tracked:
        if serials:
            raise CannotReceive(f"{code}: serial numbers are not kept for this part.", line.pk)
        return
    if len(set(serials)) != len(serials):
        raise CannotReceive(f"{code}: a serial number stands there twice.", line.pk)
    if len(serials) > arrival.quantity:
        raise CannotReceive(
            f"{code}: {len(serials)} serial numbers for {quantity_text(arrival.quantity)} received.",
            line.pk,
        )
    taken = SerialNumber.objects.filter(part=line.part, serial__in=serials).first()
    if taken is not None:
        raise CannotReceive(f"{code}: serial number {taken.serial} is on record already.", line.pk)


def _book(
    receipt: GoodsReceipt, line: PurchaseOrderLine, arrival: Arrival, *, by: User, at: datetime
) -> None:
    row = ReceiptLine.objects.create(
        receipt=receipt, order_line=line, quantity=arrival.quantity, rejected=arrival.rejected
    )
    if arrival.quantity:
        Movement.objects.create(
            job=receipt.order.job,
            part=line.part,
            kind=MovementKind.RECEIVED,
            quantity=arrival.quantity,
            receipt_line=row,
            at=at,
            by=by,
            note=str(receipt),
        )
    SerialNumber.objects.bulk_create(
        SerialNumber(
            part=line.part,
            job=receipt.order.job,
            serial=serial,
            receipt_line=row,
            recorded_at=at,
            recorded_by=by,
        )
        for serial in arrival.serials
    )


def _move_on(order: PurchaseOrder, *, by: User) -> None:
    everything = all(item.open == 0 for item in to_come(order))
    order.status = OrderStatus.RECEIVED if everything else OrderStatus.PART_RECEIVED
    order.save_if_version(order.version, by=by, update_fields={"status"})
