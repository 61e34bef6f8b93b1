from __future__ import annotations

from django.contrib import messages
from django.db.models import Model
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from catalogue.forms.filters import LabourFilter
from catalogue.forms.labour import TABLES, LabourTable
from catalogue.models import Condition, LabourOperation, TaxGroup, Trade
from fitout.kit import pages


@require_safe
def labour(request: HttpRequest) -> HttpResponse:
    filters = LabourFilter(request.GET)
    context = {
        "filters": filters,
        "operations": filters.narrowed(LabourOperation.objects.for_list()),
        "trades": Trade.objects.all(),
        "conditions": Condition.objects.order_by("multiplier", "name"),
        "tax_groups": TaxGroup.objects.all(),
    }
    fragments = {"operations": "catalogue/_operations.html"}
    return pages.render(request, "catalogue/labour.html", context, fragments=fragments)


@require_http_methods(["GET", "HEAD", "POST"])
def new_labour(request: HttpRequest, what: str) -> HttpResponse:
    table = _table(what)
    return _form_page(request, table, table.model(), f"New {table.name}")


@require_http_methods(["GET", "HEAD", "POST"])
def change_labour(request: HttpRequest, what: str, pk: int) -> HttpResponse:
    table = _table(what)
    row = get_object_or_404(table.model, pk=pk)
    return _form_page(request, table, row, str(row))


def _table(what: str) -> LabourTable:
    try:
        return TABLES[what]
    except KeyError as error:
        raise Http404(what) from error


def _form_page(request: HttpRequest, table: LabourTable, row: Model, title: str) -> HttpResponse:
    form = table.form(pages.posted(request), instance=row)
    if saved := form.saved_by(request.user):
        messages.success(request, f"{saved} is saved.")
        return pages.back_to(reverse("catalogue:labour"))
    context = {"form": form, "table": table, "title": title}
    return pages.render(request, "catalogue/labour_form.html", context, status=form.http_status)
