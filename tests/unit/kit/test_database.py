import sys
from typing import Any

import pytest
from django.db import connection

from fitout.database import (
    BadDatabaseUrl,
    database_from,
    prefer_bundled_sqlite,
    sqlite_pragmas,
    wal_is_safe,
)


@pytest.mark.pure
@pytest.mark.parametrize(
    ("version", "safe"),
    [
        ((3, 40, 1), False),
        ((3, 44, 5), False),
        ((3, 44, 6), True),
        ((3, 45, 0), False),
        ((3, 50, 6), False),
        ((3, 50, 7), True),
        ((3, 51, 2), False),
        ((3, 51, 3), True),
        ((3, 53, 4), True),
        ((4, 0, 0), True),
    ],
)
def test_the_faster_journal_only_on_an_engine_without_its_fault(
    version: tuple[int, ...], safe: bool
) -> None:
    assert wal_is_safe(version) is safe
    assert ("journal_mode=WAL" in sqlite_pragmas(version)) is safe


@pytest.mark.pure
@pytest.mark.parametrize(
    ("url", "message"),
    [
        ("nonsense", "not a database address"),
        ("mysql://x/y", "only sqlite:// and postgresql:// are supported"),
        ("postgresql://host/", "names no database"),
        ("postgresql://host:port/name", "not a database address"),
    ],
)
def test_a_database_address_that_is_none_is_refused(url: str, message: str) -> None:
    with pytest.raises(BadDatabaseUrl, match=f"^DATABASE_URL: .*{message}"):
        database_from(url)


@pytest.mark.pure
def test_writers_on_sqlite_take_their_turn_from_the_start() -> None:
    found = database_from("sqlite:////tmp/x.sqlite3")
    assert found["OPTIONS"]["transaction_mode"] == "IMMEDIATE"
    assert found["OPTIONS"]["timeout"] == 20


@pytest.mark.pure
def test_postgres_connections_are_checked_before_use() -> None:
    assert database_from("postgresql://u:p@host/name")["CONN_HEALTH_CHECKS"] is True


def pragma(name: str) -> Any:
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA {name}")
        return cursor.fetchone()[0]


def test_the_open_database_has_the_safe_settings(db: None) -> None:
    if connection.vendor != "sqlite":
        pytest.skip("only SQLite has these settings")
    assert pragma("foreign_keys") == 1
    assert pragma("synchronous") == 2
    assert pragma("recursive_triggers") == 1
    version = tuple(int(part) for part in sqlite_version().split("."))
    assert pragma("journal_mode") == ("wal" if wal_is_safe(version) else "delete")


def sqlite_version() -> str:
    with connection.cursor() as cursor:
        cursor.execute("SELECT sqlite_version()")
        return str(cursor.fetchone()[0])


def test_the_newer_engine_is_the_one_in_use(db: None) -> None:
    pysqlite3 = pytest.importorskip("pysqlite3")
    assert sys.modules["sqlite3"] is pysqlite3
    if connection.vendor == "sqlite":
        assert sqlite_version() == pysqlite3.sqlite_version


@pytest.mark.pure
def test_the_engine_is_not_swapped_under_a_loaded_backend() -> None:
    import django.db.backends.sqlite3.base  # noqa: F401

    before = sys.modules["sqlite3"]
    assert prefer_bundled_sqlite() is False
    assert sys.modules["sqlite3"] is before
