"""What must be true before a job may enter a stage, said by the apps above this one.

A guard is called with the job and the wanted stage and answers the reason against it, or "".
Apps register theirs from `AppConfig.ready()`.
"""

from collections.abc import Callable
from typing import Any

Guard = Callable[[Any, str], str]

_GUARDS: list[Guard] = []


def register(guard: Guard) -> None:
    if guard not in _GUARDS:
        _GUARDS.append(guard)


def reasons_against(job: Any, stage: str) -> list[str]:
    return [reason for guard in _GUARDS if (reason := guard(job, stage))]
