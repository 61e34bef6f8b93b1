"""Processes run side by side; when one ends or the user has had enough, all are stopped."""

import socket
import subprocess
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

GRACE_S = 10.0


@contextmanager
def running(
    commands: Mapping[str, Sequence[str]], *, directory: Path, environment: Mapping[str, str]
) -> Iterator[dict[str, subprocess.Popen[bytes]]]:
    started: dict[str, subprocess.Popen[bytes]] = {}
    try:
        for name, command in commands.items():
            started[name] = subprocess.Popen(
                command, cwd=directory, env=environment, stdin=subprocess.DEVNULL
            )
        yield started
    finally:
        stop(list(started.values()))


def answers(port: int, started: Mapping[str, subprocess.Popen[bytes]]) -> bool:
    """Wait until something listens on the port; False when a process ends before."""
    while all(process.poll() is None for process in started.values()):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return True
        time.sleep(0.1)
    return False


def first_to_end(started: Mapping[str, subprocess.Popen[bytes]]) -> tuple[str, int]:
    """Wait; answer the name and the code of the first process that ends."""
    while True:
        for name, process in started.items():
            code = process.poll()
            if code is not None:
                return name, code
        time.sleep(0.2)


def stop(processes: Sequence[subprocess.Popen[bytes]]) -> None:
    for process in processes:
        if process.poll() is None:
            process.terminate()
    for process in processes:
        try:
            process.wait(GRACE_S)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
