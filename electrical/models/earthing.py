"""How the direct-current system meets earth, as somebody told or found it."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from electrical.core.earthing import EarthingKind
from electrical.models.circuits import Circuit
from fitout.jobs.models import Job
from fitout.kit.models import Versioned


class EarthingWay(models.TextChoices):
    NEGATIVE = EarthingKind.NEGATIVE.name.lower(), "Negative earthed"
    INSULATED = EarthingKind.INSULATED.name.lower(), "Fully insulated, no pole earthed"
    POSITIVE = EarthingKind.POSITIVE.name.lower(), "Positive earthed"
    RETURN = EarthingKind.RETURN.name.lower(), "Hull or body as return conductor"


class Earthing(Versioned):
    job = models.OneToOneField(Job, on_delete=models.CASCADE, related_name="earthing")
    way = models.CharField(max_length=12, choices=EarthingWay.choices, blank=True)
    joints = models.PositiveSmallIntegerField(
        "places where the negative meets engine, hull or body",
        null=True,
        blank=True,
        validators=[MaxValueValidator(50)],
    )

    def __str__(self) -> str:
        return f"Earthing of {self.job}"

    @property
    def kind(self) -> EarthingKind | None:
        return EarthingKind[self.way.upper()] if self.way else None


class Bond(Versioned):
    """A conductor that joins a metal part to earth and carries no current in use."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="bonds")
    name = models.CharField("what is bonded", max_length=60)
    size_mm2 = models.DecimalField(
        "size mm²",
        max_digits=5,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0.5), MaxValueValidator(240)],
    )
    colour = models.CharField(max_length=30, blank=True)
    circuit = models.ForeignKey(
        Circuit,
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="bonds",
        verbose_name="circuit that supplies it",
    )

    class Meta:
        ordering = ["name", "pk"]
        constraints = [models.UniqueConstraint(fields=["job", "name"], name="bond_name_once")]

    def __str__(self) -> str:
        return f"Bonding of {self.name}"
