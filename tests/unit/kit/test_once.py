import threading
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth.models import AnonymousUser
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import OperationalError, connection
from django.http import HttpResponse, StreamingHttpResponse
from django.test import RequestFactory
from django.utils import timezone

from catalogue.models import Trade
from fitout.kit.models import PostKey, User
from fitout.kit.once import OnceMiddleware, forget_old_keys, own_transaction
from tests.factories.rows import make_trade

View = Callable[..., Any]


def post(
    view: View, typed: dict[str, Any], user: Any = None, path: str = "/add/", **headers: str
) -> Any:
    request = RequestFactory().post(path, typed, headers=headers)
    request.user = user or AnonymousUser()
    middleware = OnceMiddleware(lambda _: HttpResponse())
    return middleware.process_view(request, view, (), {}) or view(request)


def add_trade(request: Any) -> HttpResponse:
    code = f"t{Trade.objects.count()}"
    make_trade(name=request.POST["name"], code=code)
    response = HttpResponse(f"added {code}", status=201)
    response.headers["HX-Trigger"] = "trades-changed"
    response.headers["X-Other"] = "not kept"
    return response


def refuse_after_adding(request: Any) -> HttpResponse:
    make_trade()
    return HttpResponse("no", status=422)


def test_the_same_form_twice_is_done_once_and_answered_alike(owner: User) -> None:
    typed = {"name": "Rigging", "once": "k1"}
    first, second = post(add_trade, typed, owner), post(add_trade, typed, owner)
    assert first.content == second.content == b"added t0"
    assert second.status_code == 201
    assert second.headers["HX-Trigger"] == "trades-changed"
    assert "X-Other" not in second.headers
    assert Trade.objects.count() == 1


def test_a_key_in_a_header_counts_as_well(owner: User) -> None:
    for _ in range(2):
        post(add_trade, {"name": "Rigging"}, owner, **{"X-Once": "k1"})
    assert Trade.objects.count() == 1


@pytest.mark.parametrize(
    "other",
    [
        {"typed": {"name": "Rigging", "once": "k2"}},
        {"typed": {"name": "Masts", "once": "k1"}},
        {"path": "/add/?to=2"},
        {"HX-Target": "rows"},
        {"typed": {"name": "Rigging", "once": "k1", "file": SimpleUploadedFile("a", b"x")}},
    ],
)
def test_another_key_content_page_or_fragment_is_another_form(
    owner: User, other: dict[str, Any]
) -> None:
    typed = {"name": "Rigging", "once": "k1"}
    post(add_trade, typed, owner)
    post(add_trade, **{"typed": typed, "user": owner, **other})
    assert Trade.objects.count() == 2


def test_another_person_with_the_same_key_is_not_answered_with_it(
    owner: User, estimator: User
) -> None:
    typed = {"name": "Rigging", "once": "k1"}
    post(add_trade, typed, owner)
    post(add_trade, typed, estimator)
    assert Trade.objects.count() == 2


def test_the_token_against_forgery_may_differ(owner: User) -> None:
    for token in ("a", "b"):
        post(add_trade, {"name": "R", "once": "k1", "csrfmiddlewaretoken": token}, owner)
    assert Trade.objects.count() == 1


@pytest.mark.parametrize("typed", [{"once": "k1"}, {}])
def test_a_refused_form_writes_nothing_and_may_be_sent_again(
    owner: User, typed: dict[str, str]
) -> None:
    for _ in range(2):
        assert post(refuse_after_adding, typed, owner).status_code == 422
    assert not Trade.objects.exists()
    assert not PostKey.objects.exists()


def test_a_view_that_fails_writes_nothing(owner: User) -> None:
    def fail(request: Any) -> HttpResponse:
        make_trade()
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        post(fail, {"once": "k1"}, owner)
    assert not Trade.objects.exists()
    assert not PostKey.objects.exists()


def test_a_streamed_answer_is_kept_whole(owner: User) -> None:
    def stream(request: Any) -> StreamingHttpResponse:
        return StreamingHttpResponse(iter([b"a", b"b"]), content_type="text/plain")

    first = post(stream, {"once": "k1"}, owner)
    assert b"".join(first) == b"ab"
    assert post(stream, {"once": "k1"}, owner).content == b"ab"


def test_a_locked_database_is_told_and_other_faults_are_raised(owner: User) -> None:
    def locked(request: Any) -> HttpResponse:
        raise OperationalError("database is locked")

    def broken(request: Any) -> HttpResponse:
        raise OperationalError("no such table: x")

    response = post(locked, {"once": "k1"}, owner)
    assert response.status_code == 503
    assert response.headers["Retry-After"] == "5"
    assert b"Nothing was saved" in response.content
    with pytest.raises(OperationalError, match="no such table"):
        post(broken, {"once": "k1"}, owner)


def test_a_view_with_its_own_transaction_is_left_alone(owner: User) -> None:
    marked = own_transaction(refuse_after_adding)
    assert post(marked, {"once": "k1"}, owner).status_code == 422
    assert Trade.objects.count() == 1


def test_old_keys_are_forgotten(owner: User) -> None:
    post(add_trade, {"name": "Rigging", "once": "k1"}, owner)
    now = timezone.now()
    assert forget_old_keys(now + timedelta(days=6)) == 0
    assert forget_old_keys(now + timedelta(days=8)) == 1


def test_two_at_the_same_moment_are_done_once(own_database: Any) -> None:
    answers: list[bytes] = []

    def send() -> None:
        try:
            start.wait()
            answers.append(post(add_trade, {"name": "Rigging", "once": "k1"}).content)
        finally:
            connection.close()

    start = threading.Barrier(5)
    threads = [threading.Thread(target=send) for _ in range(5)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert answers == [b"added t0"] * 5
    assert Trade.objects.count() == 1
