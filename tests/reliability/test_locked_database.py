"""Somebody else writes at the same time: on SQLite everybody waits, and nobody gets an error."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from threading import Event, Thread

import pytest
from django.db import connection
from django.urls import reverse

from fitout.kit.models import Role, User
from tests.fixtures.database import OwnDatabase
from tests.fixtures.people import signed_in
from tests.reliability.together import together

HELD_S = 1.5
UNTIL_THE_END_S = 60.0

Lock = Callable[[float], AbstractContextManager[Event]]


@pytest.fixture
def lock(own_database: OwnDatabase) -> Lock:
    """Hold the write lock of the SQLite file from outside the application.

    It is let go after the given seconds, or at the end of the block if that comes first;
    the event says that it was.
    """
    if connection.vendor != "sqlite":
        pytest.skip("PostgreSQL locks rows, not the database")

    @contextmanager
    def held(seconds: float) -> Iterator[Event]:
        outside = sqlite3.connect(own_database.name, check_same_thread=False, timeout=5)
        outside.isolation_level = None
        outside.execute("BEGIN IMMEDIATE")
        ended, let_go = Event(), Event()

        def hold() -> None:
            ended.wait(seconds)
            let_go.set()
            outside.execute("COMMIT")
            outside.close()

        holder = Thread(target=hold)
        holder.start()
        try:
            yield let_go
        finally:
            ended.set()
            holder.join()

    return held


def _new_person(username: str) -> dict[str, str]:
    return {
        "username": username,
        "display_name": username,
        "role": Role.TECHNICIAN.value,
        "hours_per_day": "8",
        "is_active": "on",
        "new_password": "a long enough password",
        "once": username,
    }


def test_a_form_waits_for_the_lock_and_is_saved(owner: User, lock: Lock) -> None:
    client = signed_in(owner)
    with lock(HELD_S) as let_go:
        answer = client.post(reverse("kit:new_person"), _new_person("ada"))
        assert let_go.is_set()
    assert answer.status_code == 303
    assert User.objects.filter(username="ada").exists()


def test_pages_are_read_while_somebody_writes(owner: User, lock: Lock) -> None:
    client = signed_in(owner)
    with lock(UNTIL_THE_END_S) as let_go:
        answer = client.get(reverse("kit:people"))
        assert not let_go.is_set()
    assert answer.status_code == 200


def test_many_writers_at_once_all_get_through(own_database: OwnDatabase, owner: User) -> None:
    url = reverse("kit:new_person")
    clients = [signed_in(owner) for _ in range(6)]
    answers = together(
        *(
            lambda client=client, number=number: (
                client.post(url, _new_person(f"person{number}")).status_code
            )
            for number, client in enumerate(clients)
        )
    )
    assert answers == [303] * 6
    assert User.objects.filter(username__startswith="person").count() == 6
