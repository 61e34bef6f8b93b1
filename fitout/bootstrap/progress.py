"""One line per step with the time it took; a long one says that it is still going."""

import subprocess
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from threading import Event, Thread

STILL_GOING_AFTER_S = 15.0
LINES_SHOWN_OF_A_FAILURE = 25


class CannotPrepare(Exception):
    """The machine lacks something; the message says what to do about it."""


@contextmanager
def step(name: str) -> Iterator[None]:
    started = time.monotonic()
    finished = Event()
    Thread(target=_say_still_going, args=(name, started, finished), daemon=True).start()
    print(f"  {name} ...", flush=True)
    try:
        yield
    except BaseException:
        finished.set()
        print(f"  {name}: failed after {_elapsed(started)}", flush=True)
        raise
    finished.set()
    print(f"  {name}: done in {_elapsed(started)}", flush=True)


def run_quietly(
    command: Sequence[str | Path],
    *,
    directory: Path,
    environment: Mapping[str, str] | None = None,
    show: bool = False,
) -> str:
    """Run a command and answer what it printed; its last lines become the message if it fails.

    With `show`, what it says of its own progress is passed on while it runs.
    """
    said: list[str] = []
    with subprocess.Popen(
        [str(part) for part in command],
        cwd=directory,
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        errors="replace",
    ) as running:
        for line in running.stdout or ():
            said.append(line)
            if show:
                print(f"    {line}", end="", flush=True)
    if running.returncode != 0:
        shown = " ".join(str(part) for part in command)
        last_lines = "".join(said[-LINES_SHOWN_OF_A_FAILURE:]).rstrip()
        raise CannotPrepare(f"This failed: {shown}\n{last_lines}")
    return "".join(said)


def _say_still_going(name: str, started: float, finished: Event) -> None:
    while not finished.wait(STILL_GOING_AFTER_S):
        print(f"  {name}: {_elapsed(started)} so far", flush=True)


def _elapsed(started: float) -> str:
    seconds = time.monotonic() - started
    return f"{seconds:.1f} s" if seconds < 60 else f"{int(seconds // 60)} min {seconds % 60:.0f} s"
