from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_http_methods, require_safe

from catalogue.copying import asked_for
from catalogue.forms.filters import PartFilter
from catalogue.forms.parts import PartEntry
from catalogue.history import changes_to
from catalogue.models import Part, Supplier
from fitout.kit import pages
from fitout.kit.models import StaleVersion

PER_PAGE = 50


@require_safe
def parts(request: HttpRequest) -> HttpResponse:
    filters = PartFilter(request.GET)
    narrowed = filters.narrowed(Part.objects.for_list())
    page = Paginator(narrowed, PER_PAGE).get_page(request.GET.get("page"))
    context = {
        "filters": filters,
        "page": page,
        "part_count": Part.objects.active().count(),
        "supplier_count": Supplier.objects.selling().count(),
    }
    fragments = {"parts-list": "catalogue/_parts_list.html"}
    return pages.render(request, "catalogue/parts.html", context, fragments=fragments)


@require_safe
def part(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_object_or_404(Part.objects.for_page(), pk=pk)
    context: dict[str, Any] = {"part": shown}
    if request.user.sees_money:  # type: ignore[union-attr]
        context |= {
            "offers": shown.offers.select_related("supplier"),
            "prices": shown.price_changes(),
            "changes": changes_to(shown),
        }
    return pages.render(request, "catalogue/part.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def new_part(request: HttpRequest) -> HttpResponse:
    source = asked_for(request, Part.objects.with_electrical())
    if source is not None and request.method != "POST":
        return _entry_form(request, PartEntry.like(source), f"New part like {source.code}")
    return _entry_page(request, Part())


@require_http_methods(["GET", "HEAD", "POST"])
def change_part(request: HttpRequest, pk: int) -> HttpResponse:
    return _entry_page(request, get_object_or_404(Part.objects.with_electrical(), pk=pk))


def _entry_page(request: HttpRequest, shown: Part) -> HttpResponse:
    title = str(shown) if shown.pk else "New part"
    if request.method != "POST":
        return _entry_form(request, PartEntry(shown), title)
    if "fields_of_kind" in request.POST:
        return _entry_form(request, PartEntry.unchecked(shown, request.POST), title)
    entry = PartEntry(shown, request.POST)
    if not entry.is_valid():
        return _entry_form(request, entry, title, status=422)
    try:
        saved = entry.save_by(request.user)
    except StaleVersion as stale:
        entry.form.show_both(stale.current)
        return _entry_form(request, entry, title, status=409)
    messages.success(request, f"{saved.code} is saved.")
    return pages.back_to(saved.get_absolute_url())


def _entry_form(
    request: HttpRequest, entry: PartEntry, title: str, status: int = 200
) -> HttpResponse:
    return pages.render(
        request,
        "catalogue/part_form.html",
        {"entry": entry, "part": entry.part, "title": title},
        fragments={"record": "catalogue/_record_form.html"},
        status=status,
    )
