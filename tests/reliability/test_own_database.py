"""The databases the tests are given are what the tests rely on."""

import subprocess
import sys
from threading import Thread

from django.db import connection

from fitout.bootstrap.environment import ROOT
from fitout.kit.models import User
from tests.factories.people import make_user
from tests.fixtures.database import OwnDatabase

COUNTS = """
import os, django
os.environ["DJANGO_SETTINGS_MODULE"] = "fitout.settings"
django.setup()
from fitout.kit.models import User
print(User.objects.count())
"""


def _count_in_thread() -> int:
    seen: list[int] = []

    def count() -> None:
        seen.append(User.objects.count())
        connection.close()

    thread = Thread(target=count)
    thread.start()
    thread.join()
    return seen[0]


def test_rows_of_an_own_database_are_seen_by_another_thread(
    own_database: OwnDatabase, owner: User
) -> None:
    assert _count_in_thread() == 1


def test_rows_of_an_own_database_are_seen_by_another_process(
    own_database: OwnDatabase, owner: User
) -> None:
    done = subprocess.run(
        [sys.executable, "-c", COUNTS],
        cwd=ROOT,
        env={"DATABASE_URL": own_database.url, "PATH": ""},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout == "1\n", done.stderr


def test_the_next_test_finds_nothing_of_it(db: None) -> None:
    assert User.objects.count() == 0
    make_user()
    assert User.objects.count() == 1
