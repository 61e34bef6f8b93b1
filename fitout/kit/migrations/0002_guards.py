from typing import ClassVar

from django.db import migrations
from django.db.migrations.operations.base import Operation

from fitout.kit.triggers import append_only


class Migration(migrations.Migration):
    """The audit trail and issued documents are never changed and never removed."""

    dependencies: ClassVar[list[tuple[str, str]]] = [("kit", "0001_initial")]

    operations: ClassVar[list[Operation]] = [
        append_only("kit_auditentry"),
        append_only("kit_document"),
    ]
