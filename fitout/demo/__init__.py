"""The demo: the made-up workshop Lantern Bay Fit-outs, its people, parts and jobs.

Each app loads its own part through the functions that people's forms call too.
"""

from __future__ import annotations

from datetime import date

from django.db import transaction

import catalogue.demo
import fitout.jobs.demo

from .people import load_people


@transaction.atomic
def load(today: date) -> None:
    """Load what is missing; running it again changes nothing."""
    people = load_people()
    catalogue.demo.load(people.owner, today)
    fitout.jobs.demo.load(people.owner, today, people.technicians)
