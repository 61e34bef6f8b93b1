from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth import login, logout, update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, resolve_url
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from .. import audit, held, pages
from ..once import own_transaction
from ..people import PasswordForm, SignInForm


def safe_next(request: HttpRequest, then: str) -> str:
    allowed = url_has_allowed_host_and_scheme(
        then, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return then if allowed else "/"


def sign_in_page(
    request: HttpRequest,
    *,
    form: SignInForm | None = None,
    held: str = "",
    then: str = "/",
    status: int = 200,
) -> HttpResponse:
    context = {"form": form or SignInForm(request), "held": held, "next": safe_next(request, then)}
    return pages.render(request, "kit/sign_in.html", context, status=status)


@own_transaction
@never_cache
@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    then = request.POST.get("next") or request.GET.get("next") or "/"
    if request.method != "POST":
        if request.user.is_authenticated:
            return redirect(safe_next(request, then))
        return sign_in_page(request, then=then)
    form = SignInForm(request, data=request.POST)
    kept = request.POST.get("held", "")
    if not form.is_valid():
        return sign_in_page(request, form=form, held=kept, then=then, status=422)
    login(request, form.get_user())
    content = held.opened(kept) if kept else None
    if content is None:
        return pages.back_to(safe_next(request, then))
    return pages.render(
        request, "kit/held.html", {"kept": content, "next": safe_next(request, then)}
    )


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    logout(request)
    return pages.back_to(resolve_url("kit:sign_in"))


@never_cache
@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def change_password(request: HttpRequest) -> HttpResponse:
    user: Any = request.user
    form = PasswordForm(user, data=request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        form.save()
        update_session_auth_hash(request, user)
        label = f"{user.display_name} changed their password"
        audit.record(user, "password", user, scope="people", label=label)
        messages.success(request, "Password changed.")
        return pages.back_to("/")
    status = 422 if form.is_bound else 200
    return pages.render(request, "kit/password.html", {"form": form}, status=status)


def locked_out(
    request: HttpRequest, original: Any = None, credentials: Any = None, *_: Any, **__: Any
) -> HttpResponse:
    """Too many wrong passwords for one name from one address; told as a plain page."""
    response = pages.render(request, "kit/locked_out.html", {"minutes": 15}, status=429)
    response.headers["Retry-After"] = str(15 * 60)
    return response
