"""Memory of a web worker that has served every page, against a bare Django worker, in one run.

Run as ``python -m tests.benchmarks.bench_worker_memory`` from the project's root, with
``postgres`` behind it on a PostgreSQL server, as in production. Both are one gunicorn worker; ours is walked through every page of the demo by every link, the bare one answers
one page as often. Resident memory is read from /proc.
"""

from __future__ import annotations

import http.client
import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from fitout.bootstrap.environment import ROOT
from fitout.bootstrap.postgres import temporary_cluster
from tests.benchmarks.world import sqlite_database, temporary_database, verdict

MOST = 1.5
DATABASES = {"sqlite": sqlite_database, "postgres": temporary_cluster}


@dataclass(frozen=True)
class Answer:
    status_code: int
    headers: dict[str, str]
    content: bytes


class Worker:
    """One gunicorn worker of an application, and the memory it holds."""

    def __init__(self, master: subprocess.Popen[bytes], port: int, cookie: str) -> None:
        self.master, self.port, self.cookie = master, port, cookie

    def get(self, path: str) -> Answer:
        connection = http.client.HTTPConnection("localhost", self.port, timeout=120)
        connection.request("GET", path, headers={"Cookie": self.cookie})
        response = connection.getresponse()
        answer = Answer(response.status, dict(response.getheaders()), response.read())
        connection.close()
        return answer

    @property
    def memory_mb(self) -> float:
        """Of the one child of the master."""
        pid = self.master.pid
        children = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
        status = Path(f"/proc/{children[0]}/status").read_text()
        line = next(line for line in status.splitlines() if line.startswith("VmRSS"))
        return int(line.split()[1]) / 1024


@contextmanager
def worker_of(application: str, cookie: str = "") -> Iterator[Worker]:
    with socket.socket() as probe:
        probe.bind(("localhost", 0))
        port = probe.getsockname()[1]
    options = ["--workers", "1", "--bind", f"localhost:{port}", "--timeout", "120"]
    command = [sys.executable, "-m", "gunicorn", application, *options, "--log-level", "error"]
    with subprocess.Popen(command, cwd=ROOT, env=os.environ) as master:
        try:
            _wait_for(port, master)
            yield Worker(master, port, cookie)
        finally:
            master.terminate()


def _wait_for(port: int, master: subprocess.Popen[bytes]) -> None:
    while True:
        assert master.poll() is None, "gunicorn ended"
        with socket.socket() as probe:
            if probe.connect_ex(("localhost", port)) == 0:
                return
        time.sleep(0.1)


def main(engine: str = "sqlite") -> int:
    with temporary_database(DATABASES[engine]):
        from django.conf import settings
        from django.core.management import call_command
        from django.test import Client

        from fitout.kit.models import User
        from tests.web.crawl import walk

        call_command("load_demo", verbosity=0)
        client = Client()
        owner = User.objects.get(username="maren")
        client.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
        name = settings.SESSION_COOKIE_NAME
        with worker_of("fitout.wsgi", f"{name}={client.cookies[name].value}") as ours:
            at_first_mb = _after_first_page(ours)
            walked = walk(ours.get, "/")
            ours_mb = ours.memory_mb
        answers = [visit for visits in walked.visits.values() for visit in visits]
        failed = [f"{visit.url}: {visit.status}" for visit in answers if visit.status >= 500]
        assert failed == [], failed
        with worker_of("tests.benchmarks.bare") as bare:
            for _ in range(max(len(answers), 50)):
                assert bare.get("/").status_code == 200
            bare_mb = bare.memory_mb
    print(f"bare worker {bare_mb:.1f} MB")
    print(f"our worker {at_first_mb:.1f} MB after its first page")
    print(f"our worker {ours_mb:.1f} MB after {len(answers)} pages of {len(walked.visits)} views")
    return verdict("our worker against a bare one", ours_mb / bare_mb, MOST)


def _after_first_page(worker: Worker) -> float:
    assert worker.get("/sign-in/").status_code in (200, 302)
    return worker.memory_mb


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:2]))
