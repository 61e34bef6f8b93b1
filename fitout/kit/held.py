"""A form sent after the session ended: what was typed is held until the person signs in."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, resolve_url
from django.utils.http import urlencode

SALT = "fitout.kit.held"
LONGEST = 400_000
KEPT_FOR_S = 24 * 60 * 60
NEVER_HELD = ("csrfmiddlewaretoken",)


def ask_to_sign_in(request: HttpRequest) -> HttpResponse:
    """A fragment's form stays on its page, where the script says so; a plain form is held."""
    fragment = bool(request.headers.get("HX-Request"))
    if request.method == "POST":
        return HttpResponse(status=401) if fragment else _sign_in_with_held_post(request)
    url = sign_in_url(_page_of(request))
    if fragment:
        response = HttpResponse(status=204)
        response.headers["HX-Redirect"] = url
        return response
    return redirect(url)


def sign_in_url(then: str) -> str:
    return f"{resolve_url(settings.LOGIN_URL)}?{urlencode({'next': then})}"


def _page_of(request: HttpRequest) -> str:
    """The page to come back to: not the fragment htmx asked for, but the page around it."""
    htmx = getattr(request, "htmx", None)
    if htmx and not htmx.boosted and htmx.current_url_abs_path:
        return str(htmx.current_url_abs_path)
    return request.get_full_path()


def _sign_in_with_held_post(request: HttpRequest) -> HttpResponse:
    from .views.sign_in import sign_in_page

    return sign_in_page(request, held=held_post(request), then=_page_of(request), status=401)


def held_post(request: HttpRequest) -> str:
    """The typed fields, signed, so that they survive the way through the sign-in page."""
    fields = [
        (name, value)
        for name, values in request.POST.lists()
        for value in values
        if name not in NEVER_HELD and "password" not in name
    ]
    if not fields:
        return ""
    content = {"path": request.get_full_path(), "fields": fields, "files": bool(request.FILES)}
    held = signing.dumps(content, salt=SALT, compress=True)
    return held if len(held) <= LONGEST else ""


def opened(held: str) -> dict[str, Any] | None:
    try:
        content: dict[str, Any] = signing.loads(held, salt=SALT, max_age=KEPT_FOR_S)
    except signing.BadSignature:
        return None
    return content
