"""Purchase orders: proposed by supplier from what is short, corrected, sent, cancelled."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db import transaction

from catalogue.models import Supplier, SupplierPart
from fitout.jobs.models import Job
from fitout.kit import documents
from fitout.kit.audit import Change, record, tracked
from fitout.kit.models import Audience, Document, User
from fitout.kit.money import quantity_text, round_money
from fitout.kit.numbering import next_number
from fitout.kit.text import counted
from fitout.purchasing.access import BUYING
from fitout.purchasing.models import ORDER_MOVES, OrderStatus, PurchaseOrder, PurchaseOrderLine
from fitout.purchasing.needs import Need, needs_of

ZERO = Decimal("0.00")


class CannotOrder(Exception):
    """The reason, as a sentence."""


def check_stage(job: Job) -> None:
    if job.stage not in BUYING:
        raise CannotOrder(
            f"{job.code} is {job.get_stage_display().lower()}; parts are ordered once the quote "
            "is accepted."
        )


@transaction.atomic
def propose(
    job: Job, *, by: User, today: date, part_ids: set[int] | None = None
) -> list[PurchaseOrder]:
    """Put what is short on a draft for each supplier; a draft that exists is filled up."""
    check_stage(job)
    by_supplier: defaultdict[Supplier, list[tuple[Need, SupplierPart]]] = defaultdict(list)
    for need in needs_of(job):
        wanted = part_ids is None or need.part.pk in part_ids
        if wanted and need.offer is not None and need.order_quantity > 0:
            by_supplier[need.offer.supplier].append((need, need.offer))
    label = "Purchase orders proposed"
    with tracked(actor=by, scope=job.scope, label=label, action="orders") as change:
        drafts = []
        for supplier, needs in by_supplier.items():
            draft = _draft_for(job, supplier, change, by=by, today=today)
            for need, offer in needs:
                _put(draft, need, offer, change)
            drafts.append(draft)
    return drafts


def _draft_for(
    job: Job, supplier: Supplier, change: Change, *, by: User, today: date
) -> PurchaseOrder:
    drafts = PurchaseOrder.objects.filter(job=job, supplier=supplier, status=OrderStatus.DRAFT)
    draft = drafts.first()
    if draft is None:
        draft = PurchaseOrder.objects.create(
            job=job, supplier=supplier, created_on=today, changed_by=by
        )
        change.created(draft)
    return draft


def _put(draft: PurchaseOrder, need: Need, offer: SupplierPart, change: Change) -> None:
    line = draft.lines.filter(part=need.part).first()
    if line is not None:
        change.watch(line)
        line.quantity += need.order_quantity
        line.save(update_fields=["quantity"])
        return
    change.created(
        draft.lines.create(
            part=need.part,
            supplier_code=offer.supplier_code,
            description=need.part.description,
            unit=need.part.unit,
            quantity=need.order_quantity,
            pack_quantity=offer.pack_quantity,
            unit_cost=offer.cost,
            position=draft.lines.count() + 1,
        )
    )


def set_quantity(line: PurchaseOrderLine, quantity: Decimal, *, by: User) -> None:
    """Correct a draft's line; zero takes it off."""
    order = line.order
    _check_draft(order)
    label = f"{order}: {line.part.code} {quantity_text(line.quantity)} to {quantity_text(quantity)}"
    with tracked(actor=by, scope=order.job.scope, label=label, action="orders") as change:
        if quantity == 0:
            change.removing(line)
            line.delete()
            return
        check_packs(line, quantity)
        change.watch(line)
        line.quantity = quantity
        line.save(update_fields=["quantity"])


def check_packs(line: PurchaseOrderLine, quantity: Decimal) -> None:
    if quantity % line.pack_quantity:
        raise CannotOrder(
            f"Quantity of {line.part.code}: sold in packs of {quantity_text(line.pack_quantity)} "
            f"{line.unit}; {quantity_text(quantity)} is not a whole number of packs."
        )


def _check_draft(order: PurchaseOrder) -> None:
    if order.status != OrderStatus.DRAFT:
        raise CannotOrder(f"{order} is {order.get_status_display().lower()} and no longer changes.")


def total(order: PurchaseOrder, lines: Sequence[PurchaseOrderLine] | None = None) -> Decimal:
    read = list(order.lines.all()) if lines is None else lines
    return sum((round_money(line.quantity * line.unit_cost) for line in read), ZERO)


def carriage_for(supplier: Supplier, goods: Decimal) -> Decimal:
    free_over = supplier.carriage_free_over
    return ZERO if free_over is not None and goods >= free_over else supplier.carriage


@transaction.atomic
def send(order: PurchaseOrder, *, by: User, at: datetime, today: date) -> PurchaseOrder:
    """Give it its number, freeze it, store its PDF."""
    order = PurchaseOrder.objects.select_for_update().get(pk=order.pk)
    _check_draft(order)
    check_stage(order.job)
    lines = list(order.lines.select_related("part"))
    if not lines:
        raise CannotOrder(f"{order} has no lines to send.")
    order.sequence = next_number("purchase_order")
    order.status = OrderStatus.ORDERED
    order.ordered_on = today
    order.due_on = today + timedelta(days=_longest_lead(order, lines))
    order.carriage = carriage_for(order.supplier, total(order, lines))
    order.changed_by = by
    order.save()
    order.lines.update(is_sent=True)
    order.document = _store_pdf(order, by=by, at=at)
    order.save(update_fields=["document"])
    label = f"{order} sent to {order.supplier}, {counted(len(lines), 'line')}"
    record(by, "send", order, scope=order.job.scope, label=label)
    return order


def _longest_lead(order: PurchaseOrder, lines: Sequence[PurchaseOrderLine]) -> int:
    offers = SupplierPart.objects.filter(
        supplier=order.supplier, part__in=[line.part_id for line in lines]
    )
    return max([*offers.values_list("lead_days", flat=True), 0]) or order.supplier.lead_days


def _store_pdf(order: PurchaseOrder, *, by: User, at: datetime) -> Document:
    from fitout.purchasing.paper import order_pdf

    return documents.store(
        kind="purchase_order",
        number=order.number,
        title=f"Purchase order {order.number} to {order.supplier}",
        scope=order.job.scope,
        filename=f"{order.number}.pdf",
        content=order_pdf(order),
        at=at,
        by=by,
        audience=Audience.STAFF_MONEY,
    )


@transaction.atomic
def cancel(order: PurchaseOrder, *, by: User, reason: str = "") -> None:
    """Drop a draft, or call off an order of which nothing came yet."""
    order = PurchaseOrder.objects.select_for_update().get(pk=order.pk)
    if OrderStatus.CANCELLED not in ORDER_MOVES[order.status]:
        raise CannotOrder(
            f"{order} is {order.get_status_display().lower()}; only an order of which nothing "
            "came can be cancelled."
        )
    if order.status == OrderStatus.ORDERED and not reason:
        raise CannotOrder("Reason: say why; the supplier has this order already.")
    was_sent = order.sequence is not None
    order.status = OrderStatus.CANCELLED
    order.save_if_version(order.version, by=by, update_fields={"status"})
    label = f"{order} cancelled" + (f": {reason}" if reason else "")
    record(by, "cancel" if was_sent else "drop", order, scope=order.job.scope, label=label)
