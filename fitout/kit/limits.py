"""What no page should have to deal with: bodies beyond any form, null characters."""

from __future__ import annotations

from collections.abc import Callable

from django.core.exceptions import SuspiciousOperation
from django.http import HttpRequest, HttpResponse

from . import pages

LARGEST_BODY_MB = 40


class LimitsMiddleware:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        size = request.META.get("CONTENT_LENGTH") or "0"
        if size.isdecimal() and int(size) > LARGEST_BODY_MB * 1024 * 1024:
            context = {"limit_mb": LARGEST_BODY_MB}
            return pages.render(request, "kit/too_large.html", context, status=413)
        return self.get_response(request)

    def process_view(self, request: HttpRequest, *_: object) -> None:
        """No text column of PostgreSQL takes a null character; no name or search needs one."""
        given = (request.path, request.META.get("QUERY_STRING", ""))
        if any("\0" in text or "%00" in text for text in given):
            raise SuspiciousOperation("null character in the address")
