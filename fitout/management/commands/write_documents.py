from argparse import ArgumentParser
from pathlib import Path, PurePath
from typing import Any

from django.core.management.base import BaseCommand

from fitout.kit.documents import content_of
from fitout.kit.models import Document
from fitout.kit.numbering import format_number


class Command(BaseCommand):
    help = "Write every issued document to a folder, those of a job to a folder of the job."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", type=Path)

    def handle(self, *, folder: Path, **_: Any) -> None:
        written = 0
        for document in Document.objects.order_by("pk").iterator(chunk_size=20):
            path = folder / _folder_of(document) / PurePath(document.filename).name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content_of(document))
            written += 1
        self.stdout.write(f"{written} documents in {folder}")


def _folder_of(document: Document) -> str:
    kind, _, number = document.scope.partition(":")
    return format_number("job", int(number)) if kind == "job" and number.isdigit() else ""
