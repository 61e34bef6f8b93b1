"""Rows that never change, held by the database itself, on SQLite and on PostgreSQL.

`append_only("table")` refuses UPDATE and DELETE; `frozen_when("table", condition)`
refuses them for the rows whose old values meet the condition. Both are migration
operations. Nothing lifts them short of changing the schema.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.operations.base import Operation

NAME = re.compile(r"^[a-z_][a-z0-9_]*$")


class Guard(Operation):
    """Triggers on one table; the base of both operations."""

    reversible = True
    reduces_to_sql = True
    kind = ""

    def __init__(self, table: str, condition_sql: str = "", columns: Sequence[str] = ()) -> None:
        for name in (table, *columns):
            if not NAME.match(name):
                raise ValueError(f"{name!r} is not a table or column name")
        self.table = table
        self.condition_sql = condition_sql
        self.columns = tuple(columns)

    @property
    def message(self) -> str:
        raise NotImplementedError

    @property
    def verbs(self) -> tuple[tuple[str, str], ...]:
        update = f"UPDATE OF {', '.join(self.columns)}" if self.columns else "UPDATE"
        return (("update", update), ("delete", "DELETE"))

    def trigger_names(self, vendor: str) -> list[str]:
        names = [f"{self.table}_{self.kind}_{verb}" for verb, _ in self.verbs]
        if vendor == "postgresql":
            names.append(f"{self.table}_{self.kind}_truncate")
        return names

    def create_sql(self, vendor: str) -> list[str]:
        return self._postgresql() if vendor == "postgresql" else self._sqlite()

    def drop_sql(self, vendor: str) -> list[str]:
        on = f" ON {self.table}" if vendor == "postgresql" else ""
        drops = [f"DROP TRIGGER IF EXISTS {name}{on}" for name in self.trigger_names(vendor)]
        if vendor == "postgresql":
            drops.append(f"DROP FUNCTION IF EXISTS {self.table}_{self.kind}()")
        return drops

    def _when(self) -> str:
        return f"WHEN ({self.condition_sql}) " if self.condition_sql else ""

    def _sqlite(self) -> list[str]:
        return [
            (
                f"CREATE TRIGGER {self.table}_{self.kind}_{verb} BEFORE {clause} ON {self.table} "
                f"{self._when()}BEGIN SELECT RAISE(ABORT, '{self.message}'); END"
            )
            for verb, clause in self.verbs
        ]

    def _postgresql(self) -> list[str]:
        function = f"{self.table}_{self.kind}"
        refuse = (
            f"CREATE OR REPLACE FUNCTION {function}() RETURNS trigger LANGUAGE plpgsql AS $$ "
            f"BEGIN RAISE EXCEPTION '{self.message}' "
            "USING ERRCODE = 'integrity_constraint_violation'; END $$"
        )
        rows = [
            (
                f"CREATE TRIGGER {function}_{verb} BEFORE {clause} ON {self.table} "
                f"FOR EACH ROW {self._when()}EXECUTE FUNCTION {function}()"
            )
            for verb, clause in self.verbs
        ]
        whole = (
            f"CREATE TRIGGER {function}_truncate BEFORE TRUNCATE ON {self.table} "
            f"FOR EACH STATEMENT EXECUTE FUNCTION {function}()"
        )
        return [refuse, *rows, whole]

    def state_forwards(self, app_label: str, state: Any) -> None:
        """The models do not change."""

    def database_forwards(self, app_label: str, editor: Any, before: Any, after: Any) -> None:
        for statement in self.create_sql(editor.connection.vendor):
            editor.execute(statement, params=None)

    def database_backwards(self, app_label: str, editor: Any, before: Any, after: Any) -> None:
        for statement in self.drop_sql(editor.connection.vendor):
            editor.execute(statement, params=None)

    def describe(self) -> str:
        return f"{self.table}: {self.message}"


class AppendOnly(Guard):
    kind = "append_only"

    def __init__(self, table: str) -> None:
        super().__init__(table)

    @property
    def message(self) -> str:
        return f"{self.table} is append-only"


class FrozenWhen(Guard):
    """Refuse change and removal of the rows that meet `condition_sql`, written over `OLD`.

    `columns` narrows the refusal of UPDATE to those columns, so that follow-up
    fields of an issued row may still move. Example:
    `frozen_when("quotes_revision", "OLD.issued_at IS NOT NULL", columns=["terms"])`.
    """

    kind = "frozen"

    def __init__(self, table: str, condition_sql: str, columns: Sequence[str] = ()) -> None:
        super().__init__(table, condition_sql, columns)

    @property
    def message(self) -> str:
        return f"{self.table}: an issued row is frozen"


def append_only(table: str) -> AppendOnly:
    return AppendOnly(table)


def frozen_when(table: str, condition_sql: str, columns: Sequence[str] = ()) -> FrozenWhen:
    return FrozenWhen(table, condition_sql, columns)


def present(connection: BaseDatabaseWrapper) -> set[str]:
    """Names of the triggers in the database, ours and any other."""
    if connection.vendor == "postgresql":
        query = "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal"
    else:
        query = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    with connection.cursor() as cursor:
        cursor.execute(query)
        return {row[0] for row in cursor.fetchall()}
