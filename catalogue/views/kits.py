from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from catalogue import kit_changes
from catalogue.copying import asked_for
from catalogue.forms.filters import KitFilter
from catalogue.forms.kits import (
    KitForm,
    KitItemChangeForm,
    KitItemForm,
    KitMoveForm,
    KitQuantityForm,
)
from catalogue.history import changes_to
from catalogue.models import Kit, KitItem, kit_totals
from catalogue.search import suggestions
from fitout.kit import pages
from fitout.kit.models import StaleVersion

PER_PAGE = 50


@require_safe
def kits(request: HttpRequest) -> HttpResponse:
    filters = KitFilter(request.GET)
    narrowed = filters.narrowed(Kit.objects.all())
    page = Paginator(narrowed, PER_PAGE).get_page(request.GET.get("page"))
    totals = kit_totals()
    rows = [(kit, totals.get(kit.pk)) for kit in page]
    context = {"filters": filters, "page": page, "rows": rows}
    fragments = {"kits-list": "catalogue/_kits_list.html"}
    return pages.render(request, "catalogue/kits.html", context, fragments=fragments)


@require_safe
def kit(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_object_or_404(Kit, pk=pk)
    return _kit_page(request, shown, KitItemForm(kit=shown, initial={"quantity": 1}))


def _kit_page(
    request: HttpRequest,
    shown: Kit,
    form: KitItemForm,
    *,
    wrong_item: KitItem | None = None,
    item_form: KitItemChangeForm | None = None,
    status: int = 200,
) -> HttpResponse:
    totals = kit_totals()
    context = {
        "kit": shown,
        "items": shown.item_rows(totals),
        "totals": totals.get(shown.pk),
        "form": form,
        "wrong_item": wrong_item,
        "item_form": item_form,
        "holders": Kit.objects.filter(items__child=shown).distinct(),
        "changes": changes_to(shown),
    }
    return pages.render(request, "catalogue/kit.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def new_kit(request: HttpRequest) -> HttpResponse:
    like = asked_for(request, Kit.objects.all())
    return _form_page(request, Kit(), f"New kit like {like.code}" if like else "New kit", like)


@require_http_methods(["GET", "HEAD", "POST"])
def change_kit(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_object_or_404(Kit, pk=pk)
    return _form_page(request, shown, str(shown))


def _form_page(
    request: HttpRequest, shown: Kit, title: str, like: Kit | None = None
) -> HttpResponse:
    form = KitForm(pages.posted(request), instance=shown, like=like)
    if saved := form.saved_by(request.user):
        messages.success(request, f"{saved.code} is saved.")
        return pages.back_to(saved.get_absolute_url())
    context = {"form": form, "kit": shown, "title": title}
    return pages.render(request, "catalogue/kit_form.html", context, status=form.http_status)


@require_POST
def add_kit_item(request: HttpRequest, pk: int) -> HttpResponse:
    kit_changes.hold_kits()
    shown = get_object_or_404(Kit, pk=pk)
    form = KitItemForm(request.POST, kit=shown)
    if not form.is_valid():
        return _kit_page(request, shown, form, status=422)
    kit_changes.add(form.item(), by=request.user)
    return pages.back_to(reverse("catalogue:kit", args=[shown.pk]))


@require_POST
def kit_item(request: HttpRequest, pk: int, item_pk: int) -> HttpResponse:
    """Another quantity; with the buttons Up and Down another place; with Remove out of the kit."""
    shown = get_object_or_404(Kit, pk=pk)
    items = KitItem.objects.select_related("kit", "part", "operation", "child")
    item = get_object_or_404(items, pk=item_pk, kit=shown)
    empty = KitItemForm(kit=shown, initial={"quantity": 1})
    form = _item_form(request.POST)
    if not form.is_valid():
        return _kit_page(request, shown, empty, wrong_item=item, item_form=form, status=422)
    try:
        _change_item(item, form, request.user)
    except StaleVersion:
        messages.error(request, kit_changes.stale_words(shown))
        return _kit_page(request, Kit.objects.get(pk=pk), empty, status=409)
    here = f"#item-{item_pk}" if isinstance(form, KitMoveForm) else ""
    return pages.back_to(reverse("catalogue:kit", args=[shown.pk]) + here)


def _item_form(sent: QueryDict) -> KitItemChangeForm:
    if "remove" in sent:
        return KitItemChangeForm(sent)
    return KitMoveForm(sent) if "move" in sent else KitQuantityForm(sent)


def _change_item(item: KitItem, form: KitItemChangeForm, user: Any) -> None:
    version = form.cleaned_data["version"]
    if isinstance(form, KitMoveForm):
        kit_changes.move(item, form.steps, version=version, by=user)
    elif isinstance(form, KitQuantityForm):
        quantity = form.cleaned_data["quantity"]
        kit_changes.change_quantity(item, quantity, version=version, by=user)
    else:
        kit_changes.remove(item, version=version, by=user)


@require_safe
def suggest(request: HttpRequest) -> HttpResponse:
    """Choices for the code field of a kit, as a fragment; empty for an empty text."""
    found = suggestions(request.GET.get("what", "")[:60].replace("\0", ""))
    return pages.render(request, "catalogue/_suggestions.html", {"suggestions": found})
