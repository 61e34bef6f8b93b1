"""One line per step with the time it took; a long one says that it is still going."""

import subprocess
import time
from collections import deque
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
) -> str:
    """Run a command and answer what it printed; its last lines become the message if it fails."""
    done = subprocess.run(
        [str(part) for part in command],
        cwd=directory,
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        errors="replace",
        check=False,
    )
    if done.returncode != 0:
        shown = " ".join(str(part) for part in command)
        last_lines = deque(done.stdout.splitlines(), maxlen=LINES_SHOWN_OF_A_FAILURE)
        raise CannotPrepare("\n".join([f"This failed: {shown}", *last_lines]))
    return done.stdout


def _say_still_going(name: str, started: float, finished: Event) -> None:
    while not finished.wait(STILL_GOING_AFTER_S):
        print(f"  {name}: {_elapsed(started)} so far", flush=True)


def _elapsed(started: float) -> str:
    seconds = time.monotonic() - started
    return f"{seconds:.1f} s" if seconds < 60 else f"{int(seconds // 60)} min {seconds % 60:.0f} s"
