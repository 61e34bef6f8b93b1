"""Page-shaped reads: a job's parts by category, orders with what is still to come."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Count, DecimalField, Exists, F, OuterRef, Q, QuerySet, Sum
from django.db.models.functions import Coalesce

from catalogue.models import Category
from fitout.jobs.models import Job
from fitout.purchasing.followup import OPEN, FollowUp
from fitout.purchasing.models import Movement, OrderStatus, PurchaseOrder, PurchaseOrderLine
from fitout.purchasing.needs import Need, Shortage

ZERO = Decimal(0)
AMOUNT = DecimalField(max_digits=14, decimal_places=4)


@dataclass(frozen=True, kw_only=True)
class Group:
    name: str
    needs: tuple[Need, ...]

    @property
    def is_waiting(self) -> bool:
        return any(need.to_draft > 0 or need.progress.to_come > 0 for need in self.needs)


@dataclass(frozen=True, kw_only=True)
class PartsOverview:
    groups: tuple[Group, ...]
    counts: tuple[tuple[str, str, int], ...]
    wanted: str
    total: int
    to_draft: int
    draft_cost: Decimal
    without_offer: int


def parts_overview(needs: Sequence[Need], *, wanted: str) -> PartsOverview:
    wanted = wanted if wanted in FollowUp.values else ""
    shown = [need for need in needs if not wanted or need.state == wanted]
    names = dict(Category.choices)
    groups = []
    for category in dict.fromkeys(need.part.category for need in shown):
        own = tuple(need for need in shown if need.part.category == category)
        groups.append(Group(name=names.get(category, category), needs=own))
    short = [need for need in needs if need.to_draft > 0]
    return PartsOverview(
        groups=tuple(groups),
        counts=tuple(
            (state.value, state.label, count)
            for state in FollowUp
            if (count := sum(need.state == state for need in needs))
        ),
        wanted=wanted,
        total=len(needs),
        to_draft=len([need for need in short if need.offer]),
        draft_cost=sum((need.order_cost for need in short), ZERO),
        without_offer=len([need for need in short if not need.offer]),
    )


def with_totals() -> QuerySet[PurchaseOrder]:
    """Orders with their number of lines and the value of the goods."""
    value = Sum(F("lines__quantity") * F("lines__unit_cost"), output_field=AMOUNT)
    return (
        PurchaseOrder.objects.select_related("supplier", "job__vessel")
        .annotate(line_count=Count("lines"), goods=Coalesce(value, ZERO, output_field=AMOUNT))
        .order_by(F("sequence").desc(nulls_first=True), "-pk")
    )


def orders_of(job: Job) -> list[PurchaseOrder]:
    return list(with_totals().filter(job=job))


def open_orders(today: date, *, show: str, drafts: bool) -> list[PurchaseOrder]:
    """Orders to show; a draft is the office's own until it is sent."""
    orders = with_totals() if drafts else with_totals().exclude(status=OrderStatus.DRAFT)
    if show == "late":
        return list(orders.filter(status__in=OPEN, due_on__lt=today))
    if show == "all":
        return list(orders)
    return list(orders.filter(Q(status__in=OPEN) | Q(status=OrderStatus.DRAFT)))


@dataclass(frozen=True, kw_only=True)
class OrderGroup:
    name: str
    orders: tuple[PurchaseOrder, ...]
    is_waiting: bool


ORDER_GROUPS = (
    ("Drafts", (OrderStatus.DRAFT,), True),
    ("To come", OPEN, True),
    ("Received", (OrderStatus.RECEIVED,), False),
    ("Cancelled", (OrderStatus.CANCELLED,), False),
)


def order_groups(orders: Sequence[PurchaseOrder]) -> list[OrderGroup]:
    """What still waits for somebody first; in each group the order given."""
    groups = []
    for name, statuses, is_waiting in ORDER_GROUPS:
        own = tuple(order for order in orders if order.status in statuses)
        if own:
            groups.append(OrderGroup(name=name, orders=own, is_waiting=is_waiting))
    return groups


@dataclass(frozen=True, kw_only=True)
class ShortageGroup:
    name: str
    shortages: tuple[Shortage, ...]


def shortage_groups(shortages: Sequence[Shortage]) -> list[ShortageGroup]:
    """By what to do about them, in the order given."""
    names = dict.fromkeys(shortage.group for shortage in shortages)
    return [
        ShortageGroup(name=name, shortages=tuple(s for s in shortages if s.group == name))
        for name in names
    ]


MOVEMENTS_SHOWN = 20


def last_movements(job: Job) -> list[Movement]:
    """The latest first; `is_put_right` marks slips that were cancelled."""
    put_right = Movement.objects.filter(reverses=OuterRef("pk"))
    rows = Movement.objects.filter(job=job).select_related("part", "by")
    return list(rows.annotate(is_put_right=Exists(put_right))[:MOVEMENTS_SHOWN])


def lines_with_received(order: PurchaseOrder) -> list[PurchaseOrderLine]:
    received = Coalesce(Sum("receipt_lines__quantity"), ZERO, output_field=AMOUNT)
    rejected = Coalesce(Sum("receipt_lines__rejected"), ZERO, output_field=AMOUNT)
    return list(order.lines.select_related("part").annotate(received=received, rejected=rejected))
