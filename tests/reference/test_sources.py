"""Each file of cases says where they are from, how that was read, and how near is near enough."""

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from electrical.core.status import SourceStatus

HERE = Path(__file__).parent
FILES = sorted((HERE / "cases").glob("*.toml"))


def told(table: Any, name: str) -> Iterator[str]:
    """Every value of that name, at any depth."""
    if isinstance(table, dict):
        for key, value in table.items():
            if key == name:
                yield value
            yield from told(value, name)
    elif isinstance(table, list):
        for one in table:
            yield from told(one, name)


def test_there_are_cases() -> None:
    assert len(FILES) > 20


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_cases_name_source_status_and_tolerance(file: Path) -> None:
    cases = tomllib.loads(file.read_text())
    statuses = list(told(cases, "status"))
    assert all(len(source) > 10 for source in told(cases, "source"))
    assert any(told(cases, "source"))
    assert any(told(cases, "tolerance"))
    assert statuses
    known = tuple(status.value for status in SourceStatus)
    assert [status for status in statuses if not status.startswith(known)] == []


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_cases_are_read_by_a_test(file: Path) -> None:
    readers = [path for path in HERE.glob("test_*.py") if f'"{file.name}"' in path.read_text()]
    assert readers
