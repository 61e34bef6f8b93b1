"""What parts cost today: the offer each is bought from, read in one query."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from catalogue.models import Part
from catalogue.models.parts import best_offer


class Offers:
    def __init__(self, costs: dict[int, Decimal]) -> None:
        self._costs = costs

    @classmethod
    def of_parts(cls, part_ids: Iterable[int]) -> Offers:
        parts = Part.objects.filter(pk__in=set(part_ids)).annotate(cost=best_offer("cost"))
        return cls(dict(parts.exclude(cost=None).values_list("pk", "cost")))

    def knows(self, part_id: int) -> bool:
        return part_id in self._costs

    def cost_of(self, part_id: int) -> Decimal:
        """Nothing where no supplier offers the part yet."""
        return self._costs.get(part_id, Decimal(0))
