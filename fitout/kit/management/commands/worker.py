from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils.crypto import get_random_string
from django_tasks_db.management.commands.db_worker import (
    valid_interval,
    valid_max_tasks,
)

from fitout.kit.worker import Worker


class Command(BaseCommand):
    help = "Do the work behind the scenes: documents, imports, plans. Stop it with Ctrl-C."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--interval", type=valid_interval, default=1.0)
        parser.add_argument("--batch", action="store_true", help="stop when nothing is left")
        parser.add_argument("--max-tasks", type=valid_max_tasks, default=None)

    def handle(self, *, interval: float, batch: bool, max_tasks: int | None, **_: Any) -> None:
        if "Database" not in settings.TASKS["default"]["BACKEND"]:
            raise CommandError(
                "Work is done in the request here, so there is nothing to wait for. "
                "Set WORK=worker for the web processes and for this command."
            )
        worker = Worker(
            queue_names=["*"],
            excluded_queue_names=[],
            interval=interval,
            batch=batch,
            backend_name="default",
            startup_delay=not batch,
            max_tasks=max_tasks,
            worker_id=get_random_string(32),
        )
        worker.configure_signals()
        self.stdout.write("Worker started.")
        worker.run()
        self.stdout.write("Worker stopped.")
