"""Suppliers and what each asks for a part."""

from __future__ import annotations

from decimal import ROUND_CEILING, Decimal
from typing import Any

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Count, Q
from django.urls import reverse

from catalogue.models.labour import Trade
from catalogue.models.parts import Part
from catalogue.models.words import every_word
from fitout.kit.models import Versioned


class SupplierQuerySet(models.QuerySet["Supplier"]):
    def active(self) -> SupplierQuerySet:
        return self.filter(active=True)

    def selling(self) -> SupplierQuerySet:
        return self.active().filter(is_subcontractor=False)

    def subcontractors(self) -> SupplierQuerySet:
        return self.active().filter(is_subcontractor=True)

    def matching(self, text: str) -> SupplierQuerySet:
        return self.filter(every_word(text, "code", "name", "contact"))

    def for_list(self) -> SupplierQuerySet:
        """Adds `part_count`: active parts it has an offer for."""
        sold = Q(offers__active=True, offers__part__active=True)
        return self.select_related("trade").annotate(part_count=Count("offers", filter=sold))


def money_field(verbose: str, *, digits: int = 10, **more: Any) -> models.DecimalField[Any, Any]:
    limits = [MinValueValidator(0), MaxValueValidator(Decimal(1000000))]
    return models.DecimalField(
        verbose, max_digits=digits, decimal_places=2, validators=limits, **more
    )


def amount_field(verbose: str) -> models.DecimalField[Any, Any]:
    limits = [MinValueValidator(Decimal("0.01")), MaxValueValidator(Decimal(100000))]
    return models.DecimalField(
        verbose, max_digits=9, decimal_places=2, default=Decimal(1), validators=limits
    )


class Supplier(Versioned):
    """Sells parts, or does subcontract work (no login)."""

    code = models.SlugField(
        max_length=20,
        unique=True,
        error_messages={"unique": "Code: another supplier already has this code."},
    )
    name = models.CharField(max_length=120)
    contact = models.CharField(max_length=120, blank=True)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    address = models.TextField(blank=True, max_length=400)
    is_subcontractor = models.BooleanField("does subcontract work", default=False)
    trade = models.ForeignKey(
        Trade, null=True, blank=True, on_delete=models.PROTECT, related_name="suppliers"
    )
    lead_days = models.PositiveSmallIntegerField(
        "lead time", default=7, validators=[MaxValueValidator(730)]
    )
    carriage = money_field("carriage per order", digits=8, default=Decimal("0.00"))
    carriage_free_over = money_field("carriage free over", null=True, blank=True)
    active = models.BooleanField(default=True)
    notes = models.TextField(blank=True, max_length=2000)

    objects = SupplierQuerySet.as_manager()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("catalogue:supplier", args=[self.pk])


class SupplierPartQuerySet(models.QuerySet["SupplierPart"]):
    def best_first(self) -> SupplierPartQuerySet:
        """Offers still made; the one a part is bought from first: preferred, else cheapest."""
        return self.filter(active=True).order_by("-preferred", "cost", "pk")


class SupplierPart(Versioned):
    """One supplier's offer of a part; at most one offer per part is preferred.

    The database writes a `PriceChange` whenever a cost is set or changed, whoever does it.
    """

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="offers")
    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="offers")
    supplier_code = models.CharField("supplier's code", max_length=60)
    cost = money_field("cost each")
    pack_quantity = amount_field("pack quantity")
    minimum_order = amount_field("minimum order")
    lead_days = models.PositiveSmallIntegerField(
        "lead time", default=7, validators=[MaxValueValidator(730)]
    )
    price_date = models.DateField("price date")
    preferred = models.BooleanField("buy here first", default=False)
    active = models.BooleanField("still offered", default=True)

    objects = SupplierPartQuerySet.as_manager()

    class Meta:
        ordering = ["-preferred", "cost"]
        constraints = [
            models.UniqueConstraint(
                fields=["supplier", "part"],
                name="one_offer_per_supplier_part",
                violation_error_message="Supplier: this supplier already has an offer here.",
            ),
            models.UniqueConstraint(
                fields=["part"], condition=Q(preferred=True), name="one_preferred_offer_per_part"
            ),
            models.CheckConstraint(
                condition=Q(cost__gte=0) & Q(pack_quantity__gt=0) & Q(minimum_order__gt=0),
                name="offer_amounts_sensible",
            ),
            models.CheckConstraint(
                condition=Q(preferred=False) | Q(active=True), name="preferred_offer_is_active"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.supplier}: {self.supplier_code}"

    def order_quantity(self, needed: Decimal) -> Decimal:
        """What to order to have `needed`: the minimum at least, in whole packs."""
        if needed <= 0:
            return Decimal(0)
        wanted = max(needed, self.minimum_order)
        packs: Decimal = (wanted / self.pack_quantity).to_integral_value(rounding=ROUND_CEILING)
        return packs * Decimal(self.pack_quantity)


class PriceChange(models.Model):
    """Append-only history of what an offer cost from a date; written by the database."""

    offer = models.ForeignKey(SupplierPart, on_delete=models.PROTECT, related_name="price_changes")
    cost = models.DecimalField(max_digits=10, decimal_places=2)
    price_date = models.DateField()
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return f"{self.price_date}: {self.cost}"
