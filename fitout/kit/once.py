"""A form sent twice is done once: the second gets the answer the first one got.

Every POST that carries a key runs in one transaction with the row that remembers its
answer. Two at the same moment meet at the unique digest: the second waits for the
first to commit (on PostgreSQL at the index, on SQLite at the write lock), then reads.
An answer of 400 or more undoes the whole transaction, so nothing is written by halves
and the form may be corrected and sent again.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from datetime import datetime, timedelta
from functools import partial
from typing import Any

from django.db import DatabaseError, IntegrityError, transaction
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.utils import timezone
from django.utils.crypto import get_random_string

from .busy import busy_page, is_passing
from .models import PostKey

FIELD = "once"
HEADER = "X-Once"
KEPT = ("Content-Type", "Location", "Vary", "Cache-Control")
Answer = Callable[[], HttpResponseBase]
KEEP_FOR = timedelta(days=7)


def new_key() -> str:
    return get_random_string(24)


def own_transaction(view: Callable[..., Any]) -> Callable[..., Any]:
    """Mark a view that commits for itself, such as signing in, which must keep its tally."""
    view.own_transaction = True  # type: ignore[attr-defined]
    return view


def digest_of(request: HttpRequest, key: str) -> str:
    """Who sent what where. The same key with other content is another form."""
    actor = f"user:{request.user.pk}" if request.user.is_authenticated else "visitor"
    parts = [actor, key, request.get_full_path(), request.headers.get("HX-Target", "")]
    for name, values in sorted(request.POST.lists()):
        if name != "csrfmiddlewaretoken":
            parts += [name, *values]
    taken = hashlib.sha256("\x1f".join(parts).encode())
    for name, files in sorted(request.FILES.lists()):
        for file in files:
            taken.update(f"\x1f{name}\x1f{file.name}\x1f".encode())
            for chunk in file.chunks():
                taken.update(chunk)
            file.seek(0)
    return taken.hexdigest()


class OnceMiddleware:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Callable[..., Any], args: Any, kwargs: Any
    ) -> HttpResponseBase | None:
        if request.method != "POST" or getattr(view, "own_transaction", False):
            return None
        answer = partial(view, request, *args, **kwargs)
        key = request.headers.get(HEADER) or request.POST.get(FIELD, "")
        try:
            if not key:
                return in_one_transaction(answer)
            return answer_once(request, digest_of(request, key[:100]), answer)
        except DatabaseError as error:
            if is_passing(error):
                return busy_page(request, error)
            raise


class AlreadySent(Exception):
    pass


def in_one_transaction(answer: Answer) -> HttpResponseBase:
    with transaction.atomic():
        response = answer()
        if response.status_code >= 400:
            transaction.set_rollback(True)
    return response


def answer_once(request: HttpRequest, digest: str, answer: Answer) -> HttpResponseBase:
    try:
        return in_one_transaction(partial(first_answer, request, digest, answer))
    except AlreadySent:
        return answer_again(PostKey.objects.get(digest=digest))


def first_answer(request: HttpRequest, digest: str, answer: Answer) -> HttpResponseBase:
    try:
        with transaction.atomic():
            kept = PostKey.objects.create(
                digest=digest, path=request.path[:500], made_at=timezone.now()
            )
    except IntegrityError as error:
        raise AlreadySent from error
    response = answer()
    if response.status_code < 400:
        keep(kept, response)
    return response


def keep(kept: PostKey, response: HttpResponseBase) -> None:
    if isinstance(response, StreamingHttpResponse):
        body = b"".join(response)
        response.streaming_content = [body]
    elif isinstance(response, HttpResponse):
        body = response.content
    else:
        raise TypeError(f"cannot keep an answer of type {type(response).__name__}")
    kept.status = response.status_code
    kept.body = body
    kept.headers = {
        name: value
        for name, value in response.headers.items()
        if name in KEPT or name.startswith("HX-")
    }
    kept.save()


def answer_again(kept: PostKey) -> HttpResponse:
    response = HttpResponse(bytes(kept.body), status=kept.status)
    for name, value in kept.headers.items():
        response.headers[name] = value
    return response


def forget_old_keys(now: datetime) -> int:
    removed, _ = PostKey.objects.filter(made_at__lt=now - KEEP_FOR).delete()
    return removed
