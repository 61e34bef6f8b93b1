"""Purchase orders: all of them, one of them, and what may be done to a draft."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from fitout.kit.access import can, require, signed_in
from fitout.kit.pages import back_to, render
from fitout.purchasing.forms import CancelForm, QuantityForm
from fitout.purchasing.models import OrderStatus, PurchaseOrder, PurchaseOrderLine
from fitout.purchasing.ordering import (
    CannotOrder,
    cancel,
    carriage_for,
    send,
    set_quantity,
    total,
)
from fitout.purchasing.overview import lines_with_received, open_orders, order_groups


def orders_page(request: HttpRequest) -> HttpResponse:
    show = request.GET.get("show", "")
    today = timezone.localdate()
    sees_orders = can(request.user, "orders.view")
    orders = open_orders(today, show=show, drafts=sees_orders)
    context = {
        "orders": orders,
        "order_groups": order_groups(orders),
        "show": show,
        "today": today,
        "sees_orders": sees_orders,
    }
    return render(request, "purchasing/orders.html", context)


def get_order(request: HttpRequest, pk: int, action: str = "") -> PurchaseOrder:
    """The order, or 404 where the person may not know of it, or 403 at the stage of its job."""
    orders = PurchaseOrder.objects.select_related("supplier", "job__vessel", "job__customer")
    if not can(request.user, "orders.view"):
        orders = orders.exclude(status=OrderStatus.DRAFT)
    order = get_object_or_404(orders, pk=pk)
    if action:
        require(request.user, action, order.job.stage)
    return order


def order_page(request: HttpRequest, pk: int) -> HttpResponse:
    return show_order(request, get_order(request, pk))


def show_order(
    request: HttpRequest,
    order: PurchaseOrder,
    *,
    wrong: QuantityForm | None = None,
    wrong_line: int | None = None,
    cancelling: CancelForm | None = None,
) -> HttpResponse:
    lines = lines_with_received(order)
    goods = total(order, lines)
    is_draft = order.status == OrderStatus.DRAFT
    carriage = carriage_for(order.supplier, goods) if is_draft else order.carriage
    context = {
        "order": order,
        "job": order.job,
        "tab_path": reverse("purchasing:job", args=[order.job.number]),
        "lines": lines,
        "goods": goods,
        "carriage": carriage,
        "total": goods + carriage,
        "receipts": list(order.receipts.select_related("received_by")),
        "is_draft": is_draft,
        "may_change": can(request.user, "orders.change", order.job.stage),
        "may_receive": can(request.user, "goods.receive", order.job.stage)
        and order.status in (OrderStatus.ORDERED, OrderStatus.PART_RECEIVED),
        "today": timezone.localdate(),
        "wrong": wrong,
        "wrong_line": wrong_line,
        "cancelling": cancelling or CancelForm(),
    }
    status = 422 if wrong or cancelling else 200
    return render(request, "purchasing/order.html", context, status=status)


@require_POST
def change_quantity(request: HttpRequest, pk: int, line_id: int) -> HttpResponse:
    order = get_order(request, pk, "orders.change")
    line = get_object_or_404(
        PurchaseOrderLine.objects.select_related("part", "order__job"), pk=line_id, order=order
    )
    form = QuantityForm(request.POST)
    if form.is_valid():
        try:
            set_quantity(line, form.cleaned_data["quantity"], by=signed_in(request))
        except CannotOrder as trouble:
            form.add_error("quantity", str(trouble))
        else:
            return back_to(reverse("purchasing:order", args=[pk]))
    return show_order(request, order, wrong=form, wrong_line=line_id)


@require_POST
def send_order(request: HttpRequest, pk: int) -> HttpResponse:
    order = get_order(request, pk, "orders.change")
    try:
        sent = send(order, by=signed_in(request), at=timezone.now(), today=timezone.localdate())
    except CannotOrder as trouble:
        messages.error(request, str(trouble))
    else:
        messages.success(request, f"{sent} is ready: send its PDF to {sent.supplier}.")
    return back_to(reverse("purchasing:order", args=[pk]))


@require_POST
def cancel_order(request: HttpRequest, pk: int) -> HttpResponse:
    order = get_order(request, pk, "orders.change")
    form = CancelForm(request.POST)
    if not form.is_valid():
        return show_order(request, order, cancelling=form)
    try:
        cancel(order, by=signed_in(request), reason=form.cleaned_data["reason"])
    except CannotOrder as trouble:
        form.add_error("reason", str(trouble))
        return show_order(request, order, cancelling=form)
    messages.success(request, f"{order} is cancelled.")
    return back_to(reverse("purchasing:job", args=[order.job.number]))
