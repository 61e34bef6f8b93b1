"""What every electrical record shares.

Units stand in the column names. A blank value means "not known", never zero:
the checks then answer "cannot tell" and name the field.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from catalogue.models.parts import Part, record_name


def positive(
    verbose: str,
    *,
    digits: int = 9,
    places: int = 3,
    required: bool = False,
    ceiling: int = 1_000_000,
) -> models.DecimalField[Any, Any]:
    """A measured quantity above zero."""
    return models.DecimalField(
        verbose,
        max_digits=digits,
        decimal_places=places,
        null=not required,
        blank=not required,
        validators=[MinValueValidator(Decimal(1).scaleb(-places)), MaxValueValidator(ceiling)],
    )


def duty(verbose: str) -> models.DecimalField[Any, Any]:
    """Share of the time a load is on in an operating state, 0 to 1."""
    return models.DecimalField(
        verbose,
        max_digits=4,
        decimal_places=3,
        default=Decimal(0),
        validators=[MinValueValidator(0), MaxValueValidator(1)],
    )


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

    def rows(self) -> list[tuple[str, Any]]:
        """Label and value of every field that says something, for a page or a document."""
        shown = []
        for field in self._meta.fields:
            if field.name in {"id", "part"}:
                continue
            value = getattr(self, field.name)
            if field.choices:
                value = getattr(self, f"get_{field.name}_display")()
            if value not in (None, ""):
                shown.append((str(field.verbose_name), value))
        return shown

    def not_above(self, lower: str, upper: str) -> None:
        """Refuse a value that passes the limit set by another field of the record."""
        low, high = getattr(self, lower), getattr(self, upper)
        if low is None or high is None or low <= high:
            return
        labels = {f.name: str(f.verbose_name) for f in self._meta.fields}
        raise ValidationError({lower: f"{labels[lower]}: {low} is above {labels[upper]} ({high})."})
