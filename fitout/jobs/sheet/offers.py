"""What parts cost today: their preferred offers, read in one query."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from catalogue.models import SupplierPart


class Offers:
    def __init__(self, costs: dict[int, Decimal]) -> None:
        self._costs = costs

    @classmethod
    def of_parts(cls, part_ids: Iterable[int]) -> Offers:
        offers = SupplierPart.objects.filter(part_id__in=set(part_ids), preferred=True)
        return cls(dict(offers.values_list("part_id", "cost")))

    def knows(self, part_id: int) -> bool:
        return part_id in self._costs

    def cost_of(self, part_id: int) -> Decimal:
        """Nothing where no supplier offers the part yet."""
        return self._costs.get(part_id, Decimal(0))
