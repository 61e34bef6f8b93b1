"""The invented catalogue of the demo workshop. Loading twice changes nothing."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from django.db import transaction

if TYPE_CHECKING:
    from fitout.kit.models import User

__all__ = ["load"]


@transaction.atomic
def load(by: User, today: date) -> None:
    from catalogue.demo import kits, labour, papers, parts, suppliers

    labour.load(by)
    suppliers.load(by)
    new_parts = parts.load(by)
    suppliers.load_offers(by, new_parts, today)
    kits.load(by)
    papers.load(by, today)
