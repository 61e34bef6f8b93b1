"""The door: every URL has a row in the access registry, and the middleware asks it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.core.exceptions import ImproperlyConfigured, PermissionDenied
from django.http import HttpRequest, HttpResponse

from . import access
from .held import ask_to_sign_in


class AccessMiddleware:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        if request.user.is_authenticated and "Cache-Control" not in response.headers:
            response.headers["Cache-Control"] = "private, no-store"
        return response

    def process_view(
        self, request: HttpRequest, view: Callable[..., Any], args: Any, kwargs: Any
    ) -> HttpResponse | None:
        match = request.resolver_match
        name = match.view_name if match else ""
        action = access.URL_ACTIONS.get(name)
        if action is None:
            raise ImproperlyConfigured(f"access: URL {name!r} ({request.path}) has no row")
        if access.RULES[action].public or access.can(request.user, action):
            return None
        if not request.user.is_authenticated:
            return ask_to_sign_in(request)
        raise PermissionDenied(action)
