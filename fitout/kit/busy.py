"""A database that is locked or away for a moment: said plainly, nothing half written."""

from __future__ import annotations

import logging
from collections.abc import Callable

from django.db import InterfaceError, OperationalError
from django.http import HttpRequest, HttpResponse

from . import pages

log = logging.getLogger("fitout.busy")

# Serialization failure, deadlock, lock not available, shutting down, connection trouble.
PASSING_STATES = ("40001", "40P01", "55P03", "57P0", "08", "53")
RETRY_AFTER_S = 5


def is_passing(error: BaseException) -> bool:
    """Worth trying again, unlike a missing table or a wrong statement."""
    if isinstance(error, InterfaceError | ConnectionError | TimeoutError):
        return True
    if not isinstance(error, OperationalError):
        return False
    cause = error.__cause__
    state = getattr(cause, "sqlstate", None)
    if hasattr(cause, "sqlstate"):
        return state is None or state.startswith(PASSING_STATES)
    return "is locked" in str(error).lower()


def busy_page(request: HttpRequest, error: BaseException) -> HttpResponse:
    log.warning("Busy at %s: %s", request.path, error)
    response = pages.render(request, "kit/busy.html", {}, status=503)
    response.headers["Retry-After"] = str(RETRY_AFTER_S)
    return response


class BusyMiddleware:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        return busy_page(request, error) if is_passing(error) else None
