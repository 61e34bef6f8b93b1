"""Several web processes on one database: doubled posts, many writers, a sudden end."""

import http.cookiejar
import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from http import HTTPStatus
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from django.db import connection

from fitout.kit.models import AuditEntry, Role, User
from tests.factories.people import PASSWORD, make_user
from tests.fixtures.database import OwnDatabase

ROOT = Path(__file__).parents[2]
PEOPLE = 8


class Stay(urllib.request.HTTPRedirectHandler):
    """A redirect is an answer to look at, not to follow."""

    def redirect_request(self, *_: Any) -> None:
        return None


class Browser:
    """As much of a browser as signing in and posting forms takes."""

    def __init__(self, site: str) -> None:
        self.site = site
        jar = urllib.request.HTTPCookieProcessor(http.cookiejar.CookieJar())
        self.opener = urllib.request.build_opener(jar, Stay())

    def open(self, path: str, typed: dict[str, str] | None = None) -> tuple[int, str]:
        data = None if typed is None else urlencode(typed).encode()
        try:
            with self.opener.open(self.site + path, data, timeout=60) as answer:
                return answer.status, answer.read().decode()
        except urllib.error.HTTPError as error:
            with error:
                return error.code, error.read().decode()

    def token(self, path: str) -> str:
        found = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', self.open(path)[1])
        assert found, f"no form at {path}"
        return found[1]

    def sign_in(self, username: str) -> str:
        """Sign in, and the form token that holds from then on."""
        typed = {"username": username, "password": PASSWORD}
        token = self.token("/sign-in/")
        status, _ = self.open("/sign-in/", {**typed, "csrfmiddlewaretoken": token})
        assert status == HTTPStatus.SEE_OTHER
        return self.token("/people/new/")


def person(number: int, token: str) -> dict[str, str]:
    return {
        "display_name": f"Person {number}",
        "username": f"person{number}",
        "role": "technician",
        "hours_per_day": "8",
        "is_active": "on",
        "new_password": "mast-step-heel",
        "once": f"key-{number}",
        "csrfmiddlewaretoken": token,
    }


@contextmanager
def serving(database: OwnDatabase) -> Iterator[tuple[str, subprocess.Popen[bytes]]]:
    with socket.create_server(("127.0.0.1", 0)) as bound:
        site = f"http://127.0.0.1:{bound.getsockname()[1]}"
        process = subprocess.Popen(
            [
                sys.executable,
                "-m",
                "gunicorn",
                "fitout.wsgi",
                "-w3",
                "-b",
                f"fd://{bound.fileno()}",
            ],
            cwd=ROOT,
            env={
                **os.environ,
                "DJANGO_SETTINGS_MODULE": "tests.settings",
                "DATABASE_URL": database.url,
            },
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            pass_fds=[bound.fileno()],
            start_new_session=True,
        )
    try:
        wait_for(lambda: answers(f"{site}/sign-in/"))
        yield site, process
    finally:
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()


def answers(url: str) -> bool:
    try:
        with urllib.request.urlopen(url, timeout=20):
            return True
    except OSError:
        return False


def wait_for(condition: Callable[[], bool], seconds: float = 60) -> None:
    until = time.monotonic() + seconds
    while not condition():
        assert time.monotonic() < until, "waited too long"
        time.sleep(0.1)


@pytest.fixture
def owner_name(own_database: OwnDatabase) -> str:
    return make_user(role=Role.OWNER).username


def test_doubled_posts_to_different_processes_are_done_once(
    own_database: OwnDatabase, owner_name: str
) -> None:
    with serving(own_database) as (site, _), ThreadPoolExecutor(PEOPLE) as pool:
        browser = Browser(site)
        token = browser.sign_in(owner_name)
        posts = [person(number, token) for number in range(PEOPLE) for _ in range(3)]
        statuses = list(pool.map(lambda typed: browser.open("/people/new/", typed)[0], posts))
    assert statuses == [HTTPStatus.SEE_OTHER] * len(posts)
    added = User.objects.filter(username__startswith="person").values_list("username", flat=True)
    assert sorted(added) == [f"person{number}" for number in range(PEOPLE)]
    assert AuditEntry.objects.filter(action="people").count() == PEOPLE


def test_processes_killed_in_the_middle_leave_nothing_by_halves(
    own_database: OwnDatabase, owner_name: str
) -> None:
    with serving(own_database) as (site, process), ThreadPoolExecutor(PEOPLE) as pool:
        browser = Browser(site)
        token = browser.sign_in(owner_name)
        waiting = [
            pool.submit(browser.open, "/people/new/", person(number, token)) for number in range(60)
        ]
        wait_for(lambda: User.objects.filter(username__startswith="person").exists())
        os.killpg(process.pid, signal.SIGKILL)
        ended = [future.exception() for future in waiting]
    assert any(ended), "everything was done before the end came"
    added = set(
        User.objects.filter(username__startswith="person").values_list("display_name", flat=True)
    )
    told = set(AuditEntry.objects.filter(action="people").values_list("label", flat=True))
    assert told == {f"Added {name}" for name in added}
    assert 0 < len(added) < 60
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA integrity_check")
            assert cursor.fetchone() == ("ok",)
