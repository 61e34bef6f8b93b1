"""The demo: the made-up workshop Lantern Bay Fit-outs, its people, parts and jobs.

Each app loads its own part through the functions that people's forms call too.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from django.db import transaction

import catalogue.demo
from fitout.kit.models import User

from .people import load_people

# In the order of a job's life; each may be run again and adds only what is missing.
PARTS: tuple[Callable[[User, date], None], ...] = (catalogue.demo.load,)


def load(today: date) -> None:
    owner = load_people()
    for load_part in PARTS:
        with transaction.atomic():
            load_part(owner, today)
