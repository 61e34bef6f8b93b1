"""Trades, their rates, labour operations with standard times, conditions, tax groups."""

from __future__ import annotations

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse

from catalogue.models.words import every_word
from fitout.kit.models import Versioned


class TaxCategory(models.TextChoices):
    STANDARD = "S", "S, standard or reduced rate"
    ZERO = "Z", "Z, zero rated"
    EXEMPT = "E", "E, exempt"
    REVERSE = "AE", "AE, reverse charge"


class TaxGroup(Versioned):
    """A rate of tax and its EN 16931 category code (S standard, Z zero, E exempt, AE reverse)."""

    code = models.SlugField(max_length=20, unique=True)
    name = models.CharField(max_length=60)
    category_code = models.CharField(
        "EN 16931 category", max_length=2, choices=TaxCategory, default=TaxCategory.STANDARD
    )
    rate_pct = models.DecimalField(
        "rate",
        max_digits=5,
        decimal_places=2,
        validators=[MinValueValidator(0), MaxValueValidator(100)],
    )

    class Meta:
        ordering = ["-rate_pct", "code"]
        constraints = [
            models.CheckConstraint(
                condition=Q(rate_pct__gte=0) & Q(rate_pct__lte=100), name="tax_rate_0_to_100"
            ),
            models.CheckConstraint(
                condition=Q(category_code="S") | Q(rate_pct=0), name="only_standard_tax_has_a_rate"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} ({self.rate_pct.normalize():f} %)"

    def clean(self) -> None:
        if self.category_code != TaxCategory.STANDARD and self.rate_pct:
            raise ValidationError(
                {"rate_pct": f"Rate: category {self.category_code} has a rate of 0 %."}
            )


def hourly(verbose: str) -> models.DecimalField[Decimal, Decimal]:
    return models.DecimalField(
        verbose,
        max_digits=8,
        decimal_places=2,
        validators=[MinValueValidator(0), MaxValueValidator(1000)],
    )


class Trade(Versioned):
    """Who does the work: electrical, mechanical, plumbing, upholstery..."""

    code = models.SlugField(max_length=20, unique=True)
    name = models.CharField(max_length=60)
    sell_per_h = hourly("sell rate per hour")
    cost_per_h = hourly("cost per hour")
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position", "name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(sell_per_h__gte=0) & Q(cost_per_h__gte=0),
                name="trade_rates_not_negative",
            )
        ]

    def __str__(self) -> str:
        return self.name


class Condition(Versioned):
    """What makes work slower: awkward access, overhead, aluminium hull. Multiplies the time."""

    code = models.SlugField(max_length=30, unique=True)
    name = models.CharField(max_length=60)
    multiplier = models.DecimalField(
        "time multiplied by",
        max_digits=4,
        decimal_places=2,
        default=Decimal("1.00"),
        validators=[MinValueValidator(Decimal("0.5")), MaxValueValidator(5)],
    )

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(multiplier__gte=Decimal("0.5")) & Q(multiplier__lte=5),
                name="condition_multiplier_half_to_5",
            )
        ]

    def __str__(self) -> str:
        return f"{self.name} ×{self.multiplier.normalize():f}"


class Phase(models.TextChoices):
    """When in the build the work falls."""

    PREPARATION = "preparation", "Preparation"
    FIRST_FIX = "first_fix", "First fix"
    SECOND_FIX = "second_fix", "Second fix"
    FINISH = "finish", "Finish"
    TEST = "test", "Test"


class CircuitWork(models.TextChoices):
    """What an operation is to a circuit that has no labour of its own on a build sheet."""

    RUN = "run", "Running its cable, by the metre"
    TERMINATE = "terminate", "Terminating one conductor at one end"


class OperationQuerySet(models.QuerySet["LabourOperation"]):
    def active(self) -> OperationQuerySet:
        return self.filter(active=True)

    def matching(self, text: str) -> OperationQuerySet:
        return self.filter(every_word(text, "code", "description"))

    def circuit_times_h(self) -> dict[str, Decimal]:
        """Standard times of the work on circuits, where an operation is named for it."""
        named = self.active().exclude(circuit_work="")
        return dict(named.values_list("circuit_work", "standard_h"))

    def for_list(self) -> OperationQuerySet:
        return self.select_related("trade").order_by("trade__position", "code")


class LabourOperation(Versioned):
    """Work with a standard time per unit of quantity."""

    code = models.CharField(max_length=40, unique=True)
    description = models.CharField(max_length=200)
    trade = models.ForeignKey(Trade, on_delete=models.PROTECT, related_name="operations")
    phase = models.CharField(max_length=20, choices=Phase.choices, default=Phase.SECOND_FIX)
    standard_h = models.DecimalField(
        "standard time",
        max_digits=7,
        decimal_places=2,
        validators=[MinValueValidator(Decimal("0.01")), MaxValueValidator(1000)],
    )
    per = models.CharField(
        "for one", max_length=20, default="piece", help_text="What one unit of it is: piece, metre."
    )
    circuit_work = models.CharField(
        "work on circuits",
        max_length=10,
        choices=CircuitWork,
        blank=True,
        help_text="Circuits take their time from it where the build sheet holds no labour for them.",
    )
    active = models.BooleanField(default=True)

    objects = OperationQuerySet.as_manager()

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(condition=Q(standard_h__gt=0), name="operation_time_positive"),
            models.UniqueConstraint(
                fields=["circuit_work"],
                condition=~Q(circuit_work=""),
                name="one_operation_per_circuit_work",
                violation_error_message="Work on circuits: another operation does this already.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.description}"

    def get_absolute_url(self) -> str:
        return reverse("catalogue:change_labour", args=["operations", self.pk])
