from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from catalogue.forms.price_lists import ColumnsForm, PriceListForm
from catalogue.models import PriceList, Supplier
from catalogue.price_lists import applying
from catalogue.price_lists.checking import Outcome, check
from catalogue.price_lists.columns import are_told
from fitout.kit import pages

SHOWN = 200


@require_http_methods(["GET", "HEAD", "POST"])
def price_list(request: HttpRequest, pk: int) -> HttpResponse:
    supplier = get_object_or_404(Supplier, pk=pk)
    sent = pages.posted(request)
    files = None if sent is None else request.FILES
    form = PriceListForm(sent, files, initial={"price_date": timezone.localdate()})
    if form.is_valid():
        made = form.save(supplier, by=request.user, at=timezone.now())
        return pages.back_to(made.get_absolute_url())
    lists = supplier.price_lists.defer("lines").select_related("uploaded_by")[:20]
    context = {"supplier": supplier, "form": form, "lists": lists}
    status = 422 if form.is_bound else 200
    return pages.render(request, "catalogue/price_list.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def price_list_columns(request: HttpRequest, pk: int, list_pk: int) -> HttpResponse:
    """Which column is which, where the headings do not tell or tell it wrong."""
    shown = _get_list(pk, list_pk)
    if not shown.is_open:
        return pages.back_to(shown.get_absolute_url())
    form = ColumnsForm(pages.posted(request), price_list=shown)
    if form.is_valid():
        form.save()
        return pages.back_to(shown.get_absolute_url())
    context = {"price_list": shown, "form": form}
    status = 422 if form.is_bound else 200
    return pages.render(request, "catalogue/price_list_columns.html", context, status=status)


def _get_list(pk: int, list_pk: int) -> PriceList:
    lists = PriceList.objects.select_related("supplier", "uploaded_by")
    return get_object_or_404(lists, pk=list_pk, supplier_id=pk)


@require_http_methods(["GET", "HEAD", "POST"])
def price_list_check(request: HttpRequest, pk: int, list_pk: int) -> HttpResponse:
    shown = _get_list(pk, list_pk)
    if "drop" not in request.POST and shown.is_open and not are_told(shown.columns):
        return pages.back_to(reverse("catalogue:price_list_columns", args=[pk, list_pk]))
    if request.method != "POST":
        return _check_page(request, shown)
    try:
        if "drop" in request.POST:
            applying.drop(shown, by=request.user, at=timezone.now())
            messages.success(request, f"{shown.filename} is dropped; no price was changed.")
        else:
            seal = request.POST.get("seal", "")
            done = applying.apply(shown, seal=seal, by=request.user, at=timezone.now())
            messages.success(request, _done_words(done.counts))
    except applying.Moved:
        words = "The catalogue has moved since you looked at this list. Look again, then apply."
        messages.error(request, words)
        return _check_page(request, PriceList.objects.get(pk=list_pk), status=409)
    return pages.back_to(shown.supplier.get_absolute_url())


def _done_words(counts: dict[str, int]) -> str:
    return (
        f"Price list applied: {counts[Outcome.CHANGED]} offers changed, "
        f"{counts[Outcome.NEW]} new, {counts[Outcome.REFUSED]} rows refused."
    )


def _check_page(request: HttpRequest, shown: PriceList, status: int = 200) -> HttpResponse:
    if not shown.is_open:
        return pages.render(
            request, "catalogue/price_list_settled.html", {"price_list": shown}, status=status
        )
    found = check(shown)
    groups = [(outcome.value, found.of(outcome)) for outcome in Outcome]
    context = {
        "price_list": shown,
        "check": found,
        "groups": [(name, rows[:SHOWN], len(rows)) for name, rows in groups],
        "would_do": found.counts[Outcome.NEW] + found.counts[Outcome.CHANGED],
    }
    return pages.render(request, "catalogue/price_list_check.html", context, status=status)
