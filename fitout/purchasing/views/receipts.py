from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone

from fitout.kit.access import signed_in
from fitout.kit.pages import back_to, posted, render
from fitout.purchasing.forms import ReceiptForm
from fitout.purchasing.models import PurchaseOrder
from fitout.purchasing.receiving import CannotReceive, receive, to_come
from fitout.purchasing.views.orders import get_order


def receive_goods(request: HttpRequest, pk: int) -> HttpResponse:
    """The button “Everything came” only fills the form in; the other one records it."""
    order = get_order(request, pk, "goods.receive")
    items = to_come(order)
    if "everything" in request.POST:
        return _form_page(request, order, ReceiptForm.with_everything(request.POST, items))
    form = ReceiptForm(posted(request), items=items)
    if not form.is_valid():
        return _form_page(request, order, form, status=422 if form.is_bound else 200)
    try:
        receipt = receive(
            order,
            form.arrivals(),
            by=signed_in(request),
            at=timezone.now(),
            delivery_note=form.cleaned_data["delivery_note"],
            remark=form.cleaned_data["remark"],
        )
    except CannotReceive as trouble:
        name = f"quantity_{trouble.line_id}"
        form.add_error(name if name in form.fields else None, str(trouble))
        return _form_page(request, order, form, status=422)
    messages.success(request, f"{receipt} is on record.")
    return back_to(reverse("purchasing:order", args=[pk]))


def _form_page(
    request: HttpRequest, order: PurchaseOrder, form: ReceiptForm, status: int = 200
) -> HttpResponse:
    tab_path = reverse("purchasing:job", args=[order.job.number])
    context = {"order": order, "job": order.job, "form": form, "tab_path": tab_path}
    return render(request, "purchasing/receive.html", context, status=status)
