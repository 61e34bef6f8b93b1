from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_http_methods, require_safe

from catalogue.forms.filters import SupplierFilter
from catalogue.forms.suppliers import SupplierForm
from catalogue.history import changes_to
from catalogue.models import Supplier
from fitout.kit import pages

PER_PAGE = 50


@require_safe
def suppliers(request: HttpRequest) -> HttpResponse:
    filters = SupplierFilter(request.GET)
    narrowed = filters.narrowed(Supplier.objects.for_list().order_by("is_subcontractor", "name"))
    page = Paginator(narrowed, PER_PAGE).get_page(request.GET.get("page"))
    context = {"filters": filters, "page": page}
    fragments = {"suppliers-list": "catalogue/_suppliers_list.html"}
    return pages.render(request, "catalogue/suppliers.html", context, fragments=fragments)


@require_safe
def supplier(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_object_or_404(Supplier.objects.for_list(), pk=pk)
    offers = shown.offers.select_related("part").order_by("part__code")
    page = Paginator(offers, PER_PAGE).get_page(request.GET.get("page"))
    context = {"supplier": shown, "page": page, "changes": changes_to(shown)}
    return pages.render(request, "catalogue/supplier.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def new_supplier(request: HttpRequest) -> HttpResponse:
    return _form_page(request, Supplier(), "New supplier")


@require_http_methods(["GET", "HEAD", "POST"])
def change_supplier(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_object_or_404(Supplier, pk=pk)
    return _form_page(request, shown, shown.name)


def _form_page(request: HttpRequest, shown: Supplier, title: str) -> HttpResponse:
    form = SupplierForm(pages.posted(request), instance=shown)
    if saved := form.saved_by(request.user):
        messages.success(request, f"{saved.name} is saved.")
        return pages.back_to(saved.get_absolute_url())
    context = {"form": form, "supplier": shown, "title": title}
    return pages.render(request, "catalogue/supplier_form.html", context, status=form.http_status)
