"""Start-up checks: the triggers the migrations made are still in the database."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.core import checks
from django.db import connections
from django.db.migrations.loader import MigrationLoader

from .triggers import Guard, present


def missing_triggers(using: str) -> list[str]:
    """Triggers of applied migrations that are gone; rebuilding a table drops them silently."""
    connection = connections[using]
    loader = MigrationLoader(connection)
    wanted = {
        name
        for key in loader.applied_migrations
        if key in loader.disk_migrations
        for operation in loader.disk_migrations[key].operations
        if isinstance(operation, Guard)
        for name in operation.trigger_names(connection.vendor)
    }
    return sorted(wanted - present(connection))


@checks.register(checks.Tags.database)
def triggers_are_in_place(
    app_configs: Any = None, databases: Sequence[str] | None = None, **_: Any
) -> list[checks.CheckMessage]:
    return [
        checks.Error(
            f"The trigger {name} is missing, so issued rows could be changed.",
            hint="A migration rebuilt its table; add the trigger again in a new migration.",
            id="kit.E001",
        )
        for using in databases or ()
        for name in missing_triggers(using)
    ]
