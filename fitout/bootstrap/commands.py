"""The two set-up commands, and the way to Django for all others."""

import os
import signal
import sys
from collections.abc import Callable
from types import FrameType
from typing import NoReturn

from . import demo, environment, tests
from .progress import CannotPrepare

SET_UP: dict[str, Callable[[list[str]], int]] = {"demo": demo.run, "test": tests.run}


def main(argv: list[str]) -> int:
    command = SET_UP.get(argv[1]) if len(argv) > 1 else None
    if command is None:
        return pass_to_django(argv)
    signal.signal(signal.SIGTERM, _leave)
    signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        return command(argv[2:])
    except CannotPrepare as trouble:
        print(f"\n{trouble}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped.")
        return 130


def pass_to_django(argv: list[str]) -> int:
    if environment.exists() and not environment.is_active():
        python = str(environment.python())
        os.execv(python, [python, *argv])  # noqa: S606
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fitout.settings")
    try:
        from django.core.management import execute_from_command_line
    except ImportError:
        print(
            "The environment is not built yet. Run: python3 manage.py demo   "
            "(or: python3 manage.py test)",
            file=sys.stderr,
        )
        return 1
    execute_from_command_line(argv)
    return 0


def _leave(_signal: int, _frame: FrameType | None) -> NoReturn:
    """Turn a request to end into an exception, so that children and clusters are stopped."""
    raise SystemExit(143)
