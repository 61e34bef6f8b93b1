"""A page and its fragments: one view, one context, one template split in files."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, QueryDict
from django.shortcuts import render as render_template
from django.utils.cache import patch_vary_headers

VARY = ("HX-Request", "HX-Target", "HX-Boosted", "HX-History-Restore-Request")


def wanted_fragment(request: HttpRequest, fragments: Mapping[str, str]) -> str | None:
    """The template of the fragment htmx asked for, if it asked for one and nothing wider."""
    asked = getattr(request, "htmx", None)
    if not asked or asked.boosted or asked.history_restore_request:
        return None
    return fragments.get(asked.target or "")


def render(
    request: HttpRequest,
    template: str,
    context: Mapping[str, Any],
    *,
    fragments: Mapping[str, str] | None = None,
    status: int = 200,
) -> HttpResponse:
    chosen = wanted_fragment(request, fragments or {}) or template
    response = render_template(request, chosen, dict(context), status=status)
    patch_vary_headers(response, VARY)
    return response


def changed(response: HttpResponse, *events: str) -> HttpResponse:
    """Tell the other fragments of the page, by event, that they are out of date."""
    known = json.loads(response.headers.get("HX-Trigger", "{}"))
    known.update(dict.fromkeys(events, True))
    response.headers["HX-Trigger"] = json.dumps(known)
    return response


def posted(request: HttpRequest) -> QueryDict | None:
    """What a form on this page is bound to: the fields sent, or None when none were."""
    return request.POST if request.method == "POST" else None


def back_to(url: str) -> HttpResponse:
    """Go to another page after a valid POST; `PagesMiddleware` tells htmx in its own way."""
    response = HttpResponseRedirect(url)
    response.status_code = 303
    return response


def told_to_htmx(request: HttpRequest, response: HttpResponse) -> HttpResponse:
    """A fetch follows a 303 by itself, so htmx would put a whole page inside a fragment."""
    htmx = getattr(request, "htmx", None)
    if response.status_code != 303 or not htmx or htmx.boosted:
        return response
    moved = HttpResponse(status=204)
    moved.headers["HX-Redirect"] = response.headers["Location"]
    moved.cookies = response.cookies
    return moved


def explained(request: HttpRequest, response: HttpResponse) -> HttpResponse:
    """An address that only takes forms, opened by itself: a page in place of an empty answer."""
    opened = request.method == "GET" and "text/html" in request.headers.get("Accept", "")
    if response.status_code != 405 or response.content or not opened:
        return response
    page = render_template(request, "405.html", status=405)
    page.headers["Allow"] = response.headers.get("Allow", "POST")
    return page


class PagesMiddleware:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return explained(request, told_to_htmx(request, self.get_response(request)))
