import threading
from typing import Any

import pytest
from django.db import (
    DatabaseError,
    InterfaceError,
    OperationalError,
    ProgrammingError,
    connection,
    transaction,
)
from django.http import HttpResponse
from django.test import RequestFactory

from fitout.kit.busy import BusyMiddleware, is_passing
from fitout.kit.models import Counter


@pytest.mark.pure
@pytest.mark.parametrize(
    ("error", "passing"),
    [
        (OperationalError("database is locked"), True),
        (OperationalError("database table is locked: x"), True),
        (OperationalError("no such table: x"), False),
        (OperationalError("disk I/O error"), False),
        (InterfaceError("connection already closed"), True),
        (ConnectionResetError(), True),
        (TimeoutError(), True),
        (ProgrammingError("syntax error"), False),
        (ValueError("locked"), False),
    ],
)
def test_only_what_passes_by_itself_is_worth_another_try(
    error: BaseException, *, passing: bool
) -> None:
    assert is_passing(error) is passing


@pytest.mark.pure
def test_a_page_that_meets_a_locked_database_says_so() -> None:
    busy = BusyMiddleware(lambda _: HttpResponse())
    request = RequestFactory().get("/")
    answer = busy.process_exception(request, OperationalError("database is locked"))
    assert answer is not None
    assert answer.status_code == 503
    assert busy.process_exception(request, ZeroDivisionError()) is None


def impatient() -> None:
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET lock_timeout = '100ms'")
        else:
            cursor.execute("PRAGMA busy_timeout = 100")


def test_a_real_lock_is_recognised(own_database: Any) -> None:
    """Whatever words the engine and its driver use for it."""
    Counter.objects.create(series="x")
    held, done = threading.Event(), threading.Event()

    def hold() -> None:
        with transaction.atomic():
            Counter.objects.filter(series="x").update(last=1)
            held.set()
            done.wait(20)
        connection.close()

    holder = threading.Thread(target=hold)
    holder.start()
    try:
        assert held.wait(20)
        impatient()
        with pytest.raises(DatabaseError) as error:
            Counter.objects.filter(series="x").update(last=2)
        assert is_passing(error.value)
    finally:
        done.set()
        holder.join()


@pytest.mark.postgres
def test_a_real_deadlock_is_recognised(own_database: Any) -> None:
    for series in "ab":
        Counter.objects.create(series=series)
    met: list[BaseException] = []
    both = threading.Barrier(2)

    def cross(first: str, second: str) -> None:
        try:
            with transaction.atomic():
                Counter.objects.filter(series=first).update(last=1)
                both.wait(20)
                Counter.objects.filter(series=second).update(last=1)
        except DatabaseError as error:
            met.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=cross, args=pair) for pair in ("ab", "ba")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [is_passing(error) for error in met] == [True]
