"""Somebody else writes at the same time: on SQLite everybody waits, and nobody gets an error."""

import sqlite3
import time
from collections.abc import Callable
from threading import Thread

import pytest
from django.db import connection
from django.urls import reverse

from fitout.kit.models import Role, User
from tests.fixtures.database import OwnDatabase
from tests.fixtures.people import signed_in
from tests.reliability.together import together

HELD_S = 1.5


@pytest.fixture
def lock(own_database: OwnDatabase) -> Callable[[float], Thread]:
    """Hold the write lock of the SQLite file for a while, from outside the application."""
    if connection.vendor != "sqlite":
        pytest.skip("PostgreSQL locks rows, not the database")

    def hold(seconds: float) -> Thread:
        outside = sqlite3.connect(own_database.name, check_same_thread=False, timeout=5)
        outside.isolation_level = None
        outside.execute("BEGIN IMMEDIATE")

        def let_go() -> None:
            time.sleep(seconds)
            outside.execute("COMMIT")
            outside.close()

        holder = Thread(target=let_go)
        holder.start()
        return holder

    return hold


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


def test_a_form_waits_for_the_lock_and_is_saved(
    owner: User, lock: Callable[[float], Thread]
) -> None:
    client = signed_in(owner)
    holder = lock(HELD_S)
    began = time.monotonic()
    answer = client.post(reverse("kit:new_person"), _new_person("ada"))
    waited_s = time.monotonic() - began
    holder.join()
    assert answer.status_code == 303
    assert waited_s > HELD_S / 2
    assert User.objects.filter(username="ada").exists()


def test_pages_are_read_while_somebody_writes(owner: User, lock: Callable[[float], Thread]) -> None:
    client = signed_in(owner)
    holder = lock(HELD_S)
    answer = client.get(reverse("kit:people"))
    assert holder.is_alive()
    holder.join()
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
