from datetime import datetime
from typing import Any

import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction

from fitout.kit import audit, documents
from fitout.kit.checks import missing_triggers, triggers_are_in_place
from fitout.kit.models import AuditEntry, Document, User
from fitout.kit.triggers import Guard, append_only, frozen_when, present


def refused(statement: str) -> str:
    with pytest.raises(DatabaseError) as error, transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)
    return str(error.value)


@pytest.fixture
def entry(owner: User) -> AuditEntry:
    return audit.record(owner, "issue", owner, scope="", label="Issued")


@pytest.fixture
def document(owner: User, now: datetime) -> Document:
    return documents.store(
        kind="quote", number="Q-0001-A", title="Quote", scope="job:1", filename="q.pdf",
        content=b"%PDF-", at=now, by=owner,
    )  # fmt: skip


@pytest.mark.parametrize("table", ["kit_auditentry", "kit_document"])
def test_issued_rows_are_never_changed_or_removed(
    table: str, entry: AuditEntry, document: Document
) -> None:
    said = f"{table} is append-only"
    column = "label" if table == "kit_auditentry" else "title"
    assert said in refused(f"UPDATE {table} SET {column} = 'other'")  # noqa: S608
    assert said in refused(f"DELETE FROM {table}")  # noqa: S608
    assert AuditEntry.objects.get().label == "Issued"
    assert Document.objects.get().title == "Quote"


def test_replacing_a_row_under_the_same_key_is_refused(entry: AuditEntry) -> None:
    entry.label = "Other"
    with pytest.raises(IntegrityError, match="append-only"), transaction.atomic():
        entry.save()
    if connection.vendor == "sqlite":
        copy = "INSERT OR REPLACE INTO kit_auditentry SELECT * FROM kit_auditentry"
        assert "append-only" in refused(copy)


@pytest.mark.postgres
@pytest.mark.parametrize("table", ["kit_auditentry", "kit_document"])
def test_truncating_is_refused_too(own_database: Any, table: str) -> None:
    assert f"{table} is append-only" in refused(f"TRUNCATE {table} CASCADE")


@pytest.fixture
def papers(db: None) -> str:
    with connection.cursor() as cursor:
        cursor.execute(
            "CREATE TABLE papers (id integer PRIMARY KEY, issued integer, a text, b text)"
        )
        cursor.execute("INSERT INTO papers VALUES (1, 0, 'x', 'x'), (2, 1, 'x', 'x')")
    return "papers"


def run(statement: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute(statement)


def test_frozen_rows_are_those_that_meet_the_condition(papers: str) -> None:
    apply_in_transaction(frozen_when("papers", "OLD.issued = 1"))
    run("UPDATE papers SET a = 'y' WHERE id = 1")
    assert "papers: an issued row is frozen" in refused("UPDATE papers SET a = 'y' WHERE id = 2")
    assert "papers: an issued row is frozen" in refused("DELETE FROM papers WHERE id = 2")
    run("DELETE FROM papers WHERE id = 1")


def test_follow_up_columns_of_a_frozen_row_still_move(papers: str) -> None:
    apply_in_transaction(frozen_when("papers", "OLD.issued = 1", columns=["a"]))
    run("UPDATE papers SET b = 'y' WHERE id = 2")
    assert "frozen" in refused("UPDATE papers SET a = 'y' WHERE id = 2")


def apply_in_transaction(operation: Guard) -> None:
    """The schema editor of SQLite wants no transaction open; the statements do not mind one."""
    for statement in operation.create_sql(connection.vendor):
        run(statement)


def test_a_guard_can_be_taken_back_by_its_migration(papers: str) -> None:
    guard = append_only("papers")
    apply_in_transaction(guard)
    assert set(guard.trigger_names(connection.vendor)) <= present(connection)
    for statement in guard.drop_sql(connection.vendor):
        run(statement)
    run("DELETE FROM papers")


def test_a_name_that_is_no_table_is_refused() -> None:
    with pytest.raises(ValueError, match="is not a table or column name"):
        append_only("papers; DROP TABLE papers")


def test_every_trigger_of_the_migrations_is_in_the_database(db: None) -> None:
    assert missing_triggers("default") == []


def test_a_trigger_lost_by_a_rebuilt_table_is_reported(db: None, monkeypatch: Any) -> None:
    on = " ON kit_auditentry" if connection.vendor == "postgresql" else ""
    run(f"DROP TRIGGER kit_auditentry_append_only_update{on}")
    [found] = triggers_are_in_place(databases=["default"])
    assert "kit_auditentry_append_only_update is missing" in found.msg
