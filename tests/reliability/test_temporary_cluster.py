"""The PostgreSQL server of a test run goes with the run, however that ends."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from urllib.parse import unquote, urlsplit

import psycopg
import pytest

from fitout.bootstrap.environment import ROOT
from fitout.bootstrap.postgres import temporary_cluster

pytestmark = pytest.mark.pure

WAITS = """
import signal, time
from fitout.bootstrap.commands import _leave
from fitout.bootstrap.postgres import temporary_cluster
signal.signal(signal.SIGTERM, _leave)
with temporary_cluster() as url:
    print(url, flush=True)
    time.sleep(60)
"""


def _folder(url: str) -> Path:
    return Path(unquote(urlsplit(url).netloc.rpartition("@")[2].rpartition(":")[0]))


def _is_running(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


def test_it_answers_and_leaves_no_folder_and_no_process() -> None:
    with temporary_cluster() as url:
        folder = _folder(url)
        pid = int((folder / "data" / "postmaster.pid").read_text().splitlines()[0])
        with psycopg.connect(url) as connection:
            assert connection.execute("SELECT 6 * 7").fetchone() == (42,)
        assert folder.stat().st_mode & 0o077 == 0
    assert not folder.exists()
    assert not _is_running(pid)


def test_it_is_removed_when_the_run_is_told_to_end() -> None:
    run = subprocess.Popen(
        [sys.executable, "-c", WAITS], cwd=ROOT, stdout=subprocess.PIPE, text=True
    )
    assert run.stdout is not None
    with run.stdout as said:
        url = next(line for line in said if line.startswith("postgres://")).strip()
        pid = int((_folder(url) / "data" / "postmaster.pid").read_text().splitlines()[0])
        run.send_signal(signal.SIGTERM)
        assert run.wait(60) == 143
    assert not _folder(url).exists()
    give_up_at = time.monotonic() + 30
    while _is_running(pid) and time.monotonic() < give_up_at:
        time.sleep(0.05)
    assert not _is_running(pid)
