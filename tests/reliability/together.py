"""Do several things at the same moment, each in a thread with its own connection."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import TypeVar

from django.db import connection

Answer = TypeVar("Answer")


def together(*calls: Callable[[], Answer]) -> list[Answer]:
    """The answers, in the order of the calls, which start when all are ready to start."""
    gate = Barrier(len(calls))

    def started_with_the_others(call: Callable[[], Answer]) -> Answer:
        try:
            gate.wait(timeout=10)
            return call()
        finally:
            connection.close()

    with ThreadPoolExecutor(max_workers=len(calls)) as threads:
        futures = [threads.submit(started_with_the_others, call) for call in calls]
        return [future.result(timeout=60) for future in futures]
