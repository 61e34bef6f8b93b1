"""The demo: the made-up workshop Lantern Bay Fit-outs, its people, parts and jobs.

Each app loads its own part through the functions that people's forms call too.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from django.db import transaction

import catalogue.demo
import fitout.jobs.demo
import fitout.workshop.demo
import quotes.demo

from .people import load_people, load_workshop
from .story import tell


def quiet(words: str) -> None:
    """Where nobody listens."""


@transaction.atomic
def load(today: date, say: Callable[[str], None] = quiet) -> None:
    """Load what is missing; running it again changes nothing."""
    load_workshop()
    people = load_people()
    catalogue.demo.load(people.owner, today)
    quotes.demo.load(people.owner)
    fitout.workshop.demo.give_trades()
    fitout.jobs.demo.load(people.owner, today, people.technicians)
    say("people, catalogue and build sheets")
    tell(people, today, say)
