"""The process that draws PDFs: started when first needed, asked one document at a time.

A document that never ends, or a renderer that dies, takes no web worker with it.
"""

from __future__ import annotations

import atexit
import json
import os
import subprocess
import sys
import threading
from contextlib import suppress
from pathlib import Path
from typing import IO, Any, cast

from .drawing import Order

ROOT = Path(__file__).resolve().parents[2]
LIMIT_S = 300.0


class CannotDraw(RuntimeError):
    """The document is at fault, took too long, or ended the process that draws."""


class Press:
    """One document at a time; thread-safe; ends its process by `close` or with its own."""

    def __init__(self, limit_s: float = LIMIT_S) -> None:
        self.limit_s = limit_s
        self._process: subprocess.Popen[bytes] | None = None
        self._owner = 0
        self._turn = threading.Lock()

    def draw(self, order: Order) -> bytes:
        with self._turn:
            resting = self._running()
            answer = self._ask(resting, order) if resting else None
            if answer is None:  # not started, or gone to rest just now
                answer = self._ask(self._start(), order)
        if answer is None:
            raise CannotDraw("the process that draws documents ended")
        return answer

    def close(self) -> None:
        with self._turn:
            if self._running():
                self._end()

    def _running(self) -> subprocess.Popen[bytes] | None:
        if self._owner != os.getpid():  # a fork does not share its parent's process
            self._process = None
        elif self._process is not None and self._process.poll() is not None:
            self._end()
        return self._process

    def _start(self) -> subprocess.Popen[bytes]:
        command = [sys.executable, "-m", "fitout.kit.drawing"]
        self._process = subprocess.Popen(
            command, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE
        )
        self._owner = os.getpid()
        threading.Thread(target=self._bury, args=(self._process,), daemon=True).start()
        return self._process

    def _bury(self, process: subprocess.Popen[bytes]) -> None:
        """Wait for the end of a process, so that nothing is left of one gone to rest."""
        process.wait()
        with self._turn:
            if self._process is process:
                self._end()

    def _ask(self, process: subprocess.Popen[bytes], order: Order) -> bytes | None:
        """The document, or nothing when the process is no more."""
        late = threading.Timer(self.limit_s, process.kill)
        late.start()
        try:
            told, content = _answer(process, order)
        except (BrokenPipeError, EOFError, json.JSONDecodeError) as ended:
            self._end()
            if not late.is_alive():
                raise CannotDraw(f"it took more than {self.limit_s:g} s") from ended
            return None
        finally:
            late.cancel()
        if "wrong" in told:
            raise CannotDraw(told["wrong"])
        return content

    def _end(self) -> None:
        process, self._process = self._process, None
        if process is not None:
            process.kill()
            with suppress(BrokenPipeError), process:  # closes its pipes and waits
                pass


def _answer(process: subprocess.Popen[bytes], order: Order) -> tuple[dict[str, Any], bytes]:
    orders, answers = cast(IO[bytes], process.stdin), cast(IO[bytes], process.stdout)
    orders.write(order.to_line())
    orders.flush()
    told: dict[str, Any] = json.loads(answers.readline() or "null") or {}
    content = answers.read(told.get("bytes", 0))
    if not told or len(content) < told.get("bytes", 0):
        raise EOFError
    return told, content


press = Press()
atexit.register(press.close)
