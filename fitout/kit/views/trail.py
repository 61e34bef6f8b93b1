from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from .. import access, pages
from ..models import AuditEntry
from ..trail import readings_of
from ..undo import CannotUndo, undo

EVENTS = ("lines-changed", "circuits-changed", "undone")


@require_safe
def trail(request: HttpRequest) -> HttpResponse:
    scope = request.GET.get("scope", "")[:60].replace("\0", "")
    entries = AuditEntry.objects.for_trail()
    if scope:
        entries = entries.in_scope(scope)
    page = Paginator(entries, 50).get_page(request.GET.get("page"))
    context = {"scope": scope, "page": page, "readings": readings_of(page)}
    return pages.render(request, "kit/trail.html", context, fragments={"trail": "kit/_trail.html"})


@require_POST
def undo_entry(request: HttpRequest, pk: int) -> HttpResponse:
    entry = get_object_or_404(AuditEntry, pk=pk)
    user: Any = request.user
    if not access.can(user, "undo.any") and entry.actor_id != user.pk:
        raise PermissionDenied("undo.any")
    try:
        undo(entry, by=user)
    except CannotUndo as reason:
        return _cannot(request, str(reason))
    messages.success(request, f"Undone: {entry.label}")
    return _back(request)


def _cannot(request: HttpRequest, reason: str) -> HttpResponse:
    """Said in the page; nothing was changed, so nothing else needs a refresh."""
    messages.error(request, reason)
    if getattr(request, "htmx", False):
        response = pages.render(request, "kit/_messages.html", {}, status=409)
        response.headers["HX-Retarget"] = "#messages"
        response.headers["HX-Reswap"] = "innerHTML"
        return response
    return _back(request)


def _back(request: HttpRequest) -> HttpResponse:
    if getattr(request, "htmx", False):
        response = pages.render(request, "kit/_messages.html", {})
        response.headers["HX-Retarget"] = "#messages"
        response.headers["HX-Reswap"] = "innerHTML"
        return pages.changed(response, *EVENTS)
    then = request.POST.get("next") or request.headers.get("Referer") or "/"
    if not url_has_allowed_host_and_scheme(then, allowed_hosts={request.get_host()}):
        then = "/"
    return pages.back_to(then)
