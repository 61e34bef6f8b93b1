"""Kits: parts and labour sold and fitted together; may hold kits, never themselves."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Prefetch, Q
from django.urls import reverse

from catalogue.models.labour import LabourOperation
from catalogue.models.parts import Category, Part, our_code
from catalogue.models.words import every_word
from fitout.kit.models import Versioned

if TYPE_CHECKING:
    from catalogue.models.kit_totals import KitTotals


class KitQuerySet(models.QuerySet["Kit"]):
    def active(self) -> KitQuerySet:
        return self.filter(active=True)

    def matching(self, text: str) -> KitQuerySet:
        return self.filter(every_word(text, "code", "description"))


class Kit(Versioned):
    code = models.CharField(
        max_length=40,
        unique=True,
        validators=[our_code],
        error_messages={"unique": "Code: another kit already has this code."},
    )
    description = models.CharField(max_length=200)
    category = models.CharField(max_length=20, choices=Category.choices)
    active = models.BooleanField(default=True)
    notes = models.TextField(blank=True, max_length=2000)

    objects = KitQuerySet.as_manager()

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return f"{self.code} {self.description}"

    def get_absolute_url(self) -> str:
        return reverse("catalogue:kit", args=[self.pk])

    @property
    def totals(self) -> KitTotals:
        """One query over all kits; lists use `kit_totals()` once for all rows."""
        from catalogue.models.kit_totals import NOTHING, kit_totals

        return kit_totals().get(self.pk, NOTHING)

    def item_rows(self, totals: Mapping[int, KitTotals]) -> list[KitRow]:
        """What stands in this kit, each with what it comes to; two queries."""
        items = self.items.select_related("operation__trade", "child").prefetch_related(
            Prefetch("part", queryset=Part.objects.with_cost())
        )
        return [_row_of(item, totals) for item in items]

    def path_to(self, target_id: int) -> list[str]:
        """Codes from this kit down to the target, both included; empty if it does not hold it."""
        edges, codes = _tree()
        came_from: dict[int, int] = {}
        queue = deque([self.pk])
        while queue:
            here = queue.popleft()
            if here == target_id:
                return _walk_back(here, self.pk, came_from, codes)
            for child in edges.get(here, ()):
                if child not in came_from and child != self.pk:
                    came_from[child] = here
                    queue.append(child)
        return []


@dataclass(frozen=True)
class KitRow:
    """One item of a kit. A figure is None where it is not known or says nothing."""

    item: KitItem
    cost: Decimal | None = None
    mass_kg: Decimal | None = None
    hours: Decimal | None = None
    unit: str = ""

    @property
    def total_cost(self) -> Decimal | None:
        return None if self.cost is None else self.cost * self.item.quantity

    @property
    def total_mass_kg(self) -> Decimal | None:
        return None if self.mass_kg is None else self.mass_kg * self.item.quantity

    @property
    def total_hours(self) -> Decimal | None:
        return None if self.hours is None else self.hours * self.item.quantity


def _row_of(item: KitItem, totals: Mapping[int, KitTotals]) -> KitRow:
    if item.operation is not None:
        return KitRow(item, hours=item.operation.standard_h, unit=item.operation.per)
    if item.child_id is not None:
        total = totals.get(item.child_id)
        if total is None:
            return KitRow(item, unit="kit")
        return KitRow(item, total.cost, total.mass_kg, total.hours, "kit")
    part: Any = item.part
    return KitRow(item, cost=part.cost, mass_kg=part.mass_kg, unit=part.get_unit_display())


def _tree() -> tuple[dict[int, list[int]], dict[int, str]]:
    edges: dict[int, list[int]] = {}
    for kit_id, child_id in KitItem.objects.filter(child__isnull=False).values_list(
        "kit_id", "child_id"
    ):
        edges.setdefault(kit_id, []).append(child_id)
    return edges, dict(Kit.objects.values_list("pk", "code"))


def _walk_back(
    here: int, start: int, came_from: dict[int, int], codes: dict[int, str]
) -> list[str]:
    path = [codes[here]]
    while here != start:
        here = came_from[here]
        path.append(codes[here])
    return path[::-1]


class KitItem(models.Model):
    kit = models.ForeignKey(Kit, on_delete=models.CASCADE, related_name="items")
    part = models.ForeignKey(
        Part, null=True, blank=True, on_delete=models.PROTECT, related_name="kit_items"
    )
    operation = models.ForeignKey(
        LabourOperation, null=True, blank=True, on_delete=models.PROTECT, related_name="kit_items"
    )
    child = models.ForeignKey(
        Kit, null=True, blank=True, on_delete=models.PROTECT, related_name="used_in"
    )
    quantity = models.DecimalField(
        max_digits=9,
        decimal_places=2,
        default=Decimal(1),
        validators=[MinValueValidator(Decimal("0.01")), MaxValueValidator(Decimal(100000))],
    )
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gt=0), name="kit_item_quantity_positive"),
            models.CheckConstraint(
                condition=(
                    Q(part__isnull=False, operation__isnull=True, child__isnull=True)
                    | Q(part__isnull=True, operation__isnull=False, child__isnull=True)
                    | Q(part__isnull=True, operation__isnull=True, child__isnull=False)
                ),
                name="kit_item_is_exactly_one_thing",
            ),
            models.CheckConstraint(
                condition=Q(child__isnull=True) | ~Q(child=models.F("kit")),
                name="kit_not_in_itself",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} × {self.subject}"

    @property
    def subject(self) -> Part | LabourOperation | Kit | None:
        return self.part or self.operation or self.child

    def clean(self) -> None:
        if self.child is not None:
            refuse_cycle(self.kit, self.child)


def refuse_cycle(kit: Kit, child: Kit) -> None:
    """Raise, naming the path, if putting `child` into `kit` would put a kit inside itself."""
    path = [kit.code] if child.pk == kit.pk else child.path_to(kit.pk)
    if path:
        shown = " holds ".join([kit.code, *path] if child.pk != kit.pk else [kit.code, kit.code])
        raise ValidationError({"child": f"{kit.code} would hold itself: {shown}."})
