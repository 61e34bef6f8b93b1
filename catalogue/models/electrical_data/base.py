"""What every electrical record shares.

Units stand in the column names. A blank value means "not known", never zero:
the checks then answer "cannot tell" and name the field.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.text import capfirst

from catalogue.models.parts import Part, record_name
from fitout.kit.fields import unit_of
from fitout.kit.money import quantity_text


def positive(
    verbose: str,
    *,
    digits: int = 9,
    places: int = 3,
    required: bool = False,
    ceiling: int = 1_000_000,
    floor: Decimal | None = None,
) -> models.DecimalField[Any, Any]:
    """A measured quantity above zero."""
    return models.DecimalField(
        verbose,
        max_digits=digits,
        decimal_places=places,
        null=not required,
        blank=not required,
        validators=[
            MinValueValidator(Decimal(1).scaleb(-places) if floor is None else floor),
            MaxValueValidator(ceiling),
        ],
    )


def percentage(verbose: str) -> models.DecimalField[Any, Any]:
    """A share of 1 to 100 per cent; less is a slip of the pen."""
    return positive(verbose, places=1, ceiling=100, floor=Decimal(1))


def duty(verbose: str) -> models.DecimalField[Any, Any]:
    """Share of the time a load is on in an operating state, 0 to 1."""
    return models.DecimalField(
        verbose,
        max_digits=4,
        decimal_places=3,
        default=Decimal(0),
        validators=[MinValueValidator(0), MaxValueValidator(1)],
    )


UNITS = {
    "voc_coefficient_pct_per_c": "%/°C",
    "resistance_ohm_per_100m": "Ω per 100 m",
    "insulation_c": "°C",
    "area_m2": "m²",
    "max_r_ohm_per_km": "Ω/km",
    "start_s": "s",
    "peak_s": "s",
}
"""Units that the tail of a column's name alone does not tell."""


def unit_of_field(field: Any) -> str:
    if field.name.startswith("duty_"):
        return "of the time"
    return UNITS.get(field.name, unit_of(field))


@dataclass(frozen=True)
class Reading:
    label: str
    value: Any
    unit: str

    @property
    def text(self) -> str:
        if isinstance(self.value, bool):
            return "yes" if self.value else "no"
        if isinstance(self.value, Decimal | int):
            return quantity_text(self.value)
        return str(self.value)


class ElectricalData(models.Model):
    part = models.OneToOneField(Part, on_delete=models.CASCADE, related_name="%(class)s")

    class Meta:
        abstract = True

    def __str__(self) -> str:
        return f"{self._meta.verbose_name} of {self.part.code}"

    def clean(self) -> None:
        allowed = self.part.record_names
        if record_name(self) not in allowed:
            raise ValidationError(
                f"A part of kind {self.part.get_kind_display()} carries no {self._meta.verbose_name}."
            )

    @property
    def title(self) -> str:
        return capfirst(str(self._meta.verbose_name).removesuffix(" data"))

    def rows(self) -> list[Reading]:
        """Every field that says something, for a page or a document."""
        shown = []
        for field in self._meta.fields:
            value = getattr(self, field.name, None)
            if field.name in {"id", "part"} or value in {None, ""}:
                continue
            if field.choices:
                value = getattr(self, f"get_{field.name}_display")()
            shown.append(Reading(str(field.verbose_name), value, unit_of_field(field)))
        return shown

    def not_above(self, lower: str, upper: str) -> None:
        """Refuse a value that passes the limit set by another field of the record."""
        low, high = getattr(self, lower), getattr(self, upper)
        if low is None or high is None or low <= high:
            return
        fields = {field.name: field for field in self._meta.fields}
        unit = f" {unit_of_field(fields[lower])}".rstrip()
        raise ValidationError(
            {
                lower: f"{capfirst(fields[lower].verbose_name)}: {low}{unit} is above "
                f"{fields[upper].verbose_name} ({high}{unit})."
            }
        )
