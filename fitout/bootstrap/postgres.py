"""A PostgreSQL cluster for one run: made in a temporary folder, deleted afterwards."""

import os
import pwd
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from .machine import postgres_programs
from .progress import CannotPrepare, step

READY_WITHIN_S = 30.0
# The data lives as long as the run, so nothing is gained by waiting for the disk.
SETTINGS = (
    "listen_addresses=",
    "fsync=off",
    "synchronous_commit=off",
    "full_page_writes=off",
    "max_connections=100",
)


@dataclass(frozen=True)
class Account:
    """Who runs the server. It refuses to run as root."""

    uid: int
    gid: int

    @property
    def for_subprocess(self) -> dict[str, int | list[int]]:
        if os.geteuid() != 0:
            return {}
        return {"user": self.uid, "group": self.gid, "extra_groups": []}


@contextmanager
def temporary_cluster() -> Iterator[str]:
    """Yield the DATABASE_URL of a server only this machine's socket folder leads to."""
    programs = postgres_programs()
    if programs is None:
        raise CannotPrepare("PostgreSQL's server is missing: sudo apt-get install postgresql")
    account = _account()
    folder = Path(tempfile.mkdtemp(prefix="fitout-postgres-"))
    try:
        os.chown(folder, account.uid, account.gid)
        with step("Start a PostgreSQL server for this run"):
            _create(programs, folder, account)
            server = _start(programs, folder, account)
        try:
            yield f"postgres://fitout:fitout@{quote(str(folder), safe='')}:5432/postgres"
        finally:
            _stop(server)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _account() -> Account:
    if os.geteuid() != 0:
        return Account(uid=os.geteuid(), gid=os.getegid())
    for name in ("postgres", "nobody"):
        try:
            entry = pwd.getpwnam(name)
        except KeyError:
            continue
        return Account(uid=entry.pw_uid, gid=entry.pw_gid)
    raise CannotPrepare(
        "PostgreSQL's server refuses to run as root, and this machine has neither a user postgres "
        "nor nobody. Make one: useradd --system postgres"
    )


def _create(programs: Path, folder: Path, account: Account) -> None:
    command: list[str | Path] = [
        programs / "initdb",
        *("--pgdata", folder / "data", "--username", "fitout"),
        *("--encoding", "UTF8", "--locale", "C.UTF-8", "--auth", "trust", "--no-sync"),
    ]
    made = subprocess.run(
        _text(command),
        capture_output=True,
        text=True,
        check=False,
        cwd=folder,
        **account.for_subprocess,  # type: ignore[call-overload]
    )
    if made.returncode != 0:
        raise CannotPrepare(f"PostgreSQL's initdb failed:\n{made.stdout}{made.stderr}")


def _start(programs: Path, folder: Path, account: Account) -> subprocess.Popen[bytes]:
    log = folder / "log"
    options = [part for setting in SETTINGS for part in ("-c", setting)]
    server_program = programs / "postgres"
    command: list[str | Path] = [server_program, "-D", folder / "data", "-k", folder, *options]
    with log.open("wb") as output:
        server: subprocess.Popen[bytes] = subprocess.Popen(
            _text(command),
            stdin=subprocess.DEVNULL,
            stdout=output,
            stderr=subprocess.STDOUT,
            cwd=folder,
            **account.for_subprocess,  # type: ignore[call-overload]
        )
    try:
        _wait_until_ready(programs, folder, server)
    except BaseException:
        _stop(server)
        print(log.read_text(errors="replace"))
        raise
    return server


def _wait_until_ready(programs: Path, folder: Path, server: subprocess.Popen[bytes]) -> None:
    ask = _text([programs / "pg_isready", "--host", folder, "--quiet"])
    give_up_at = time.monotonic() + READY_WITHIN_S
    while subprocess.run(ask, check=False).returncode != 0:
        if server.poll() is not None:
            raise CannotPrepare("PostgreSQL's server ended while starting; its log is above.")
        if time.monotonic() > give_up_at:
            raise CannotPrepare(f"PostgreSQL's server was not ready within {READY_WITHIN_S:.0f} s.")
        time.sleep(0.1)


def _stop(server: subprocess.Popen[bytes]) -> None:
    """SIGINT is PostgreSQL's fast shutdown: sessions are ended, nothing is waited for."""
    if server.poll() is None:
        server.send_signal(2)
        try:
            server.wait(15)
        except subprocess.TimeoutExpired:
            server.kill()
            server.wait()


def _text(command: Sequence[str | Path]) -> list[str]:
    return [str(part) for part in command]
