from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from fitout import demo


class Command(BaseCommand):
    help = "Load the demo workshop, or what is missing of it."

    def handle(self, **_: Any) -> None:
        demo.load(timezone.localdate(), self.stdout.write)
        self.stdout.write("The demo is loaded.")
