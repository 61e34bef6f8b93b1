"""The vessel and its hull plan.

Axes, in metres: x forward from the transom (or the back of a van), y to port from the
centreline (negative to starboard), z up from the keel line (or the floor of a van).
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.fields import NOT_PROVIDED

from fitout.kit.models import Versioned
from fitout.kit.money import quantity_text

NOT_GIVEN: Any = NOT_PROVIDED

# Outboards, brackets, aerials and tanks under a floor stand outside a zone's box by this much.
OUTSIDE_M = Decimal("1.0")

# A zone may reach this far under the floor of a van or caravan.
UNDER_FLOOR_M = Decimal("0.6")


def metres(
    verbose: str,
    *,
    low: str = "-30",
    high: str = "60",
    null: bool = False,
    default: Decimal = NOT_GIVEN,
) -> models.DecimalField[Any, Any]:
    return models.DecimalField(
        verbose,
        max_digits=6,
        decimal_places=3,
        null=null,
        blank=null,
        default=default,
        validators=[MinValueValidator(Decimal(low)), MaxValueValidator(Decimal(high))],
    )


def said_m(length_m: Decimal) -> str:
    return f"{quantity_text(length_m)}\N{NO-BREAK SPACE}m"


def check_place(
    box_m: Mapping[str, tuple[Decimal, Decimal]], name: str, place: Mapping[str, Decimal]
) -> None:
    errors = {}
    for axis, value in place.items():
        low, high = box_m[axis]
        if not low - OUTSIDE_M <= value <= high + OUTSIDE_M:
            errors[f"{axis}_m"] = (
                f"Place {axis}: from {said_m(low - OUTSIDE_M)} to {said_m(high + OUTSIDE_M)}; "
                f"{name} runs from {said_m(low)} to {said_m(high)}."
            )
    if errors:
        raise ValidationError(errors)


class VesselKind(models.TextChoices):
    BOAT = "boat", "Boat"
    VAN = "van", "Van"
    CARAVAN = "caravan", "Caravan"
    OFFROAD = "4x4", "4x4"


class Vessel(Versioned):
    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=10, choices=VesselKind.choices, default=VesselKind.BOAT)
    template = models.SlugField("hull plan template", max_length=30, default="workboat")
    description = models.CharField(max_length=200, blank=True)
    material = models.CharField(max_length=40, blank=True)
    identification = models.CharField("hull or chassis number", max_length=40, blank=True)
    home_port = models.CharField(max_length=80, blank=True)
    length_m = metres("length m", low="2", high="30")
    beam_m = metres("beam m", low="1", high="10")
    depth_m = metres("depth of hull m", low="0.3", high="6")
    height_m = metres("height over all m", low="0.5", high="8")
    draught_m = metres("draught m", low="0", high="4", default=Decimal(0))
    light_mass_kg = models.DecimalField(
        "mass as delivered kg",
        max_digits=9,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("1")), MaxValueValidator(Decimal("100000"))],
    )
    light_x_m = metres("centre of that mass, m from transom", low="0", high="30", null=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    length_m__gt=0, beam_m__gt=0, depth_m__gt=0, height_m__gte=F("depth_m")
                ),
                name="vessel_dimensions_positive",
            )
        ]

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        if self.height_m is None or self.depth_m is None:
            return
        if self.height_m < self.depth_m:
            reason = f"Height over all: at least the depth of the hull, {said_m(self.depth_m)}."
            raise ValidationError({"height_m": reason})

    def check_place(self, *, x_m: Decimal, y_m: Decimal, z_m: Decimal) -> None:
        """Refuse a place that is nowhere near the vessel."""
        check_place(self.box_m, "the vessel", {"x": x_m, "y": y_m, "z": z_m})

    @property
    def is_on_wheels(self) -> bool:
        return self.kind != VesselKind.BOAT

    @property
    def box_m(self) -> dict[str, tuple[Decimal, Decimal]]:
        """Lowest and highest x, y and z of the vessel."""
        low = -UNDER_FLOOR_M if self.is_on_wheels else Decimal(0)
        return {
            "x": (Decimal(0), self.length_m),
            "y": (-self.beam_m / 2, self.beam_m / 2),
            "z": (low, self.height_m),
        }


class Environment(models.TextChoices):
    DRY = "dry", "Dry, inside"
    DAMP = "damp", "Damp (bilge, locker)"
    WET = "wet", "Wet (deck, outside)"
    ENGINE = "engine", "Engine space"


class Zone(Versioned):
    vessel = models.ForeignKey(Vessel, on_delete=models.CASCADE, related_name="zones")
    code = models.CharField(max_length=3)
    name = models.CharField(max_length=60)
    position = models.PositiveSmallIntegerField(default=0)
    x_min_m = metres("from x")
    x_max_m = metres("to x")
    y_min_m = metres("from y")
    y_max_m = metres("to y")
    z_min_m = metres("from z")
    z_max_m = metres("to z")
    environment = models.CharField(
        max_length=10, choices=Environment.choices, default=Environment.DRY
    )
    petrol_vapour = models.BooleanField("petrol vapour can collect here", default=False)
    hot = models.BooleanField("hotter than 30 °C in use", default=False)
    ventilated = models.BooleanField("ventilated to outside", default=True)

    class Meta:
        ordering = ["position", "code"]
        constraints = [
            models.UniqueConstraint(fields=["vessel", "code"], name="zone_code_once_per_vessel"),
            models.CheckConstraint(
                condition=Q(
                    x_max_m__gt=F("x_min_m"), y_max_m__gt=F("y_min_m"), z_max_m__gt=F("z_min_m")
                ),
                name="zone_has_volume",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.name}"

    @property
    def hazards(self) -> str:
        """What to mind in it, in words; empty when nothing."""
        words = {
            "petrol vapour can collect": self.petrol_vapour,
            "hot": self.hot,
            "not ventilated": not self.ventilated,
        }
        return ", ".join(word for word, is_so in words.items() if is_so)

    @property
    def box_m(self) -> dict[str, tuple[Any, Any]]:
        return {
            "x": (self.x_min_m, self.x_max_m),
            "y": (self.y_min_m, self.y_max_m),
            "z": (self.z_min_m, self.z_max_m),
        }

    def clean(self) -> None:
        errors: dict[str, str] = {}
        for axis, (low, high) in self.box_m.items():
            if low is None or high is None:
                continue
            if low >= high:
                errors[f"{axis}_max_m"] = f"To {axis}: more than from {axis}, {said_m(low)}."
            least, most = self.vessel.box_m[axis]
            if low < least:
                errors[f"{axis}_min_m"] = (
                    f"From {axis}: {said_m(least)} at least, the hull ends there."
                )
            if high > most:
                errors[f"{axis}_max_m"] = f"To {axis}: {said_m(most)} at most, the hull ends there."
        if errors:
            raise ValidationError(errors)

    def check_place(self, *, x_m: Decimal, y_m: Decimal, z_m: Decimal) -> None:
        """Refuse a place that is nowhere near the zone."""
        check_place(self.box_m, self.code, {"x": x_m, "y": y_m, "z": z_m})


class CablewayNode(Versioned):
    vessel = models.ForeignKey(Vessel, on_delete=models.CASCADE, related_name="nodes")
    code = models.CharField(max_length=10)
    zone = models.ForeignKey(
        Zone, null=True, blank=True, on_delete=models.SET_NULL, related_name="nodes"
    )
    x_m = metres("x")
    y_m = metres("y")
    z_m = metres("z")

    class Meta:
        ordering = ["code"]
        constraints = [
            models.UniqueConstraint(fields=["vessel", "code"], name="node_code_once_per_vessel")
        ]

    def __str__(self) -> str:
        return self.code

    def clean(self) -> None:
        place = {"x_m": self.x_m, "y_m": self.y_m, "z_m": self.z_m}
        if None not in place.values():
            (self.zone or self.vessel).check_place(**place)


class CablewaySegment(Versioned):
    """One segment of a cableway (W1, W2...) between two nodes."""

    vessel = models.ForeignKey(Vessel, on_delete=models.CASCADE, related_name="segments")
    cableway = models.CharField(max_length=10)
    start = models.ForeignKey(CablewayNode, on_delete=models.CASCADE, related_name="segments_from")
    end = models.ForeignKey(CablewayNode, on_delete=models.CASCADE, related_name="segments_to")
    length_override_m = metres("measured length m", low="0.01", null=True)
    in_conduit = models.BooleanField(default=False)

    class Meta:
        ordering = ["cableway", "id"]
        constraints = [
            models.CheckConstraint(condition=~Q(start=F("end")), name="segment_joins_two_nodes"),
            models.UniqueConstraint(fields=["start", "end"], name="segment_once"),
        ]

    def __str__(self) -> str:
        return f"{self.cableway}: {self.start} to {self.end}"
