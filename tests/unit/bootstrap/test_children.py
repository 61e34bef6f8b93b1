import socket
import subprocess
import sys
from pathlib import Path

import pytest

from fitout.bootstrap import children

pytestmark = pytest.mark.pure

SLEEPS = [sys.executable, "-c", "import time; time.sleep(60)"]
IGNORES = [
    sys.executable,
    "-c",
    (
        "import signal, time; signal.signal(signal.SIGTERM, signal.SIG_IGN); "
        "print('ready', flush=True); time.sleep(60)"
    ),
]
ENDS = [sys.executable, "-c", "raise SystemExit(7)"]


def test_when_one_ends_the_others_are_stopped() -> None:
    commands = {"server": SLEEPS, "worker": ENDS}
    with children.running(commands, directory=Path.cwd(), environment={}) as started:
        assert children.first_to_end(started) == ("worker", 7)
        assert started["server"].poll() is None
    assert started["server"].returncode == -15


def test_when_the_user_has_had_enough_all_are_stopped() -> None:
    commands = {"server": SLEEPS, "worker": SLEEPS}
    with (
        pytest.raises(KeyboardInterrupt),
        children.running(commands, directory=Path.cwd(), environment={}) as started,
    ):
        raise KeyboardInterrupt
    assert [process.returncode for process in started.values()] == [-15, -15]


def test_one_that_will_not_stop_is_killed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(children, "GRACE_S", 0.2)
    with subprocess.Popen(IGNORES, stdout=subprocess.PIPE) as stubborn:
        assert stubborn.stdout is not None
        assert stubborn.stdout.readline() == b"ready\n"
        children.stop([stubborn])
    assert stubborn.returncode == -9


def test_a_server_answers_when_its_port_is_open() -> None:
    with socket.socket() as server, subprocess.Popen(SLEEPS) as process:
        server.bind(("127.0.0.1", 0))
        server.listen()
        assert children.answers(server.getsockname()[1], {"server": process})
        process.kill()


def test_a_server_that_ended_does_not_answer() -> None:
    with subprocess.Popen(ENDS) as process:
        assert not children.answers(9, {"server": process})
