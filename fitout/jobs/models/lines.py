"""A line of the build sheet. A kit line is expanded: its content stands below it as lines."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from catalogue.models import Condition, Kit, LabourOperation, Part, Supplier, TaxGroup, Trade
from fitout.jobs.models.hull import Zone, metres
from fitout.jobs.models.jobs import Job
from fitout.kit.models import Versioned


class LineKind(models.TextChoices):
    PART = "part", "Part"
    KIT = "kit", "Kit"
    LABOUR = "labour", "Labour operation"
    SUBCONTRACT = "subcontract", "Subcontract"
    PROVISIONAL = "provisional", "Provisional sum"
    CUSTOMER_SUPPLIED = "customer", "Customer-supplied"


Place = tuple[Decimal | None, Decimal | None, Decimal | None]


class Choice(models.TextChoices):
    INCLUDED = "included", "Included"
    OPTION = "option", "Option"


SHEET_COLUMNS = (
    "id",
    "version",
    "parent_id",
    "zone_id",
    "zone__code",
    "position",
    "kind",
    "choice",
    "taken",
    "description",
    "quantity",
    "unit",
    "part_id",
    "part__code",
    "part__kind",
    "part__category",
    "kit_id",
    "kit__code",
    "operation_id",
    "operation__code",
    "operation__phase",
    "supplier_id",
    "supplier__name",
    "trade_id",
    "trade__code",
    "trade__name",
    "trade__cost_per_h",
    "tax_group_id",
    "unit_cost",
    "sell_override",
    "override_reason",
    "standard_h",
    "mass_kg",
    "x_m",
    "y_m",
    "z_m",
    "note",
)


class LineQuerySet(models.QuerySet["Line"]):
    def top_level(self) -> LineQuerySet:
        return self.filter(parent=None)

    def sheet_rows(self) -> models.QuerySet[Line, dict[str, Any]]:
        """All a build sheet shows of its lines, in one query."""
        ordered = self.order_by("zone__position", "zone__code", "position", "id")
        rows: models.QuerySet[Line, dict[str, Any]] = ordered.values(*SHEET_COLUMNS)
        return rows

    def for_edit(self) -> LineQuerySet:
        return self.select_related("job__vessel", "zone", "part", "kit", "operation", "trade")


class Line(Versioned):
    """Quantities: a child's quantity is per one of its parent.

    An option counts only when `taken`. A child follows its top line's choice and zone.
    """

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="lines")
    parent = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.CASCADE, related_name="children"
    )
    zone = models.ForeignKey(Zone, on_delete=models.PROTECT, related_name="lines")
    position = models.PositiveIntegerField(default=0)
    kind = models.CharField(max_length=12, choices=LineKind.choices)
    part = models.ForeignKey(
        Part, null=True, blank=True, on_delete=models.PROTECT, related_name="lines"
    )
    kit = models.ForeignKey(
        Kit, null=True, blank=True, on_delete=models.PROTECT, related_name="lines"
    )
    operation = models.ForeignKey(
        LabourOperation, null=True, blank=True, on_delete=models.PROTECT, related_name="lines"
    )
    supplier = models.ForeignKey(
        Supplier, null=True, blank=True, on_delete=models.PROTECT, related_name="subcontract_lines"
    )
    trade = models.ForeignKey(
        Trade, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    tax_group = models.ForeignKey(TaxGroup, on_delete=models.PROTECT, related_name="+")
    description = models.CharField(max_length=200)
    quantity = models.DecimalField(
        max_digits=9,
        decimal_places=2,
        default=Decimal("1"),
        validators=[MinValueValidator(Decimal("0.01")), MaxValueValidator(Decimal("100000"))],
    )
    unit = models.CharField(max_length=6, default="pc")
    choice = models.CharField(max_length=10, choices=Choice.choices, default=Choice.INCLUDED)
    taken = models.BooleanField("option taken", default=False)
    unit_cost = models.DecimalField(
        "cost each",
        max_digits=10,
        decimal_places=2,
        default=Decimal("0.00"),
        validators=[MinValueValidator(Decimal("0")), MaxValueValidator(Decimal("10000000"))],
    )
    sell_override = models.DecimalField(
        "price each, set by hand",
        max_digits=10,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0")), MaxValueValidator(Decimal("10000000"))],
    )
    override_reason = models.CharField("reason for the price", max_length=200, blank=True)
    standard_h = models.DecimalField(
        "standard time h each",
        max_digits=7,
        decimal_places=2,
        default=Decimal("0.00"),
        validators=[MinValueValidator(Decimal("0")), MaxValueValidator(Decimal("5000"))],
    )
    conditions = models.ManyToManyField(Condition, blank=True, related_name="+")
    mass_kg = models.DecimalField(
        "mass each kg", max_digits=9, decimal_places=3, null=True, blank=True
    )
    x_m = metres("x", null=True)
    y_m = metres("y", null=True)
    z_m = metres("z", null=True)
    note = models.CharField(max_length=400, blank=True)

    objects = LineQuerySet.as_manager()

    class Meta:
        ordering = ["zone__position", "position", "id"]
        indexes = [models.Index(fields=["job", "zone", "position"], name="line_sheet_order")]
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gt=0), name="line_quantity_positive"),
            models.CheckConstraint(
                condition=Q(sell_override__isnull=True) | ~Q(override_reason=""),
                name="line_override_has_reason",
            ),
            models.CheckConstraint(
                condition=(
                    Q(kind="part", part__isnull=False)
                    | Q(kind="customer")
                    | Q(kind="kit", kit__isnull=False)
                    | Q(kind="labour", trade__isnull=False)
                    | Q(kind="subcontract", supplier__isnull=False)
                    | Q(kind="provisional")
                ),
                name="line_kind_has_its_subject",
            ),
        ]

    def __str__(self) -> str:
        return self.description

    @property
    def place(self) -> Place:
        """Where it is in the vessel; three times None where that is not said."""
        return self.x_m, self.y_m, self.z_m

    def set_place(self, place: Place) -> None:
        for name, value in zip(("x_m", "y_m", "z_m"), place, strict=True):
            setattr(self, name, value)

    def clean(self) -> None:
        if self.sell_override is not None and not self.override_reason.strip():
            raise ValidationError(
                {"override_reason": "Reason for the price: say why the price is set by hand."}
            )
        if self.zone.vessel_id != self.job.vessel_id:
            raise ValidationError({"zone": "Zone: choose a zone of this vessel."})
        self._clean_place()

    def _clean_place(self) -> None:
        place = {"x_m": self.x_m, "y_m": self.y_m, "z_m": self.z_m}
        missing = [name for name, value in place.items() if value is None]
        if len(missing) == len(place):
            return
        if missing:
            words = "give x, y and z, or none of them."
            raise ValidationError({name: f"Place {name[0]}: {words}" for name in missing})
        # A kit may reach into other zones: its switch stands at the helm, its motor forward.
        held = self.zone.vessel if self.parent is not None else self.zone
        held.check_place(**place)

    def clean_own_fields(self) -> None:
        """Like `full_clean`, without asking the database whether related rows exist."""
        related = {field.name for field in self._meta.fields if field.is_relation}
        self.clean_fields(exclude=related)
        self.clean()
