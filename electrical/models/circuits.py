"""Circuits: from a board, busbar or source to the devices they feed."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from catalogue.models import Part
from electrical.models.devices import Device
from fitout.jobs.models import Job
from fitout.jobs.models.hull import metres
from fitout.kit.models import Versioned


class CircuitRole(models.TextChoices):
    LOAD = "load", "Load"
    FEEDER = "feeder", "Feeder to a board"
    SOURCE = "source", "Battery to main busbar"
    CHARGING = "charging", "Charging"
    STARTING = "starting", "Engine start"
    CONVERTER = "converter", "Converter"
    LINK = "link", "Battery to emergency parallel switch"


#: Conductors in parallel per pole that the computation takes.
MOST_IN_PARALLEL = 8


def circuit_label(number: int) -> str:
    """As written on both ends of the cable."""
    return f"C{number:02d}"


class Circuit(Versioned):
    """`*_set_by_hand` says that a person chose it and `wire up` must leave it alone.

    `chosen_together` is left alone too, for as long as it holds every rule.
    """

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="circuits")
    number = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=120)
    role = models.CharField(max_length=10, choices=CircuitRole.choices, default=CircuitRole.LOAD)
    origin = models.ForeignKey(Device, on_delete=models.CASCADE, related_name="circuits_from")
    board_position = models.PositiveSmallIntegerField(null=True, blank=True)
    devices = models.ManyToManyField(
        Device, through="CircuitDevice", related_name="circuits", blank=True
    )
    nominal_v = models.DecimalField(
        max_digits=4,
        decimal_places=1,
        validators=[MinValueValidator(Decimal("6")), MaxValueValidator(Decimal("60"))],
    )
    cable = models.ForeignKey(
        Part,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="circuits_as_cable",
        limit_choices_to={"kind": "cable"},
    )
    cable_set_by_hand = models.BooleanField(default=False)
    in_parallel = models.PositiveSmallIntegerField(
        "conductors in parallel",
        default=1,
        validators=[MinValueValidator(1), MaxValueValidator(MOST_IN_PARALLEL)],
    )
    protection = models.ForeignKey(
        Part,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="circuits_as_protection",
        limit_choices_to={"kind": "protective_device"},
    )
    protection_set_by_hand = models.BooleanField(default=False)
    end_protection = models.ForeignKey(
        Part,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
        limit_choices_to={"kind": "protective_device"},
        verbose_name="protection at the far end",
    )
    chosen_together = models.BooleanField("chosen together with the others", default=False)
    protection_distance_m = metres(
        "distance of protection from the source m", low="0", high="10", default=Decimal("0.100")
    )
    switch = models.ForeignKey(
        Part,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
        limit_choices_to={"kind": "switch"},
    )
    length_override_m = metres("measured length m", low="0.05", high="100", null=True)
    drop_limit_pct = models.DecimalField(
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.5")), MaxValueValidator(Decimal("10"))],
    )
    always_live = models.BooleanField("ahead of the isolator", default=False)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["job", "number"], name="circuit_number_once_per_job"),
            models.CheckConstraint(condition=Q(number__gt=0), name="circuit_number_positive"),
            models.CheckConstraint(
                condition=Q(in_parallel__gte=1, in_parallel__lte=MOST_IN_PARALLEL),
                name="circuit_conductors_in_parallel",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.label} {self.name}"

    @property
    def label(self) -> str:
        return circuit_label(self.number)


class CircuitDevice(Versioned):
    """One device on a circuit, in order from the origin; the last one is the far end."""

    circuit = models.ForeignKey(Circuit, on_delete=models.CASCADE, related_name="members")
    device = models.ForeignKey(Device, on_delete=models.CASCADE, related_name="memberships")
    position = models.PositiveSmallIntegerField(default=1)

    class Meta:
        ordering = ["circuit", "position", "id"]
        constraints = [
            models.UniqueConstraint(fields=["circuit", "device"], name="device_once_per_circuit")
        ]

    def __str__(self) -> str:
        return f"{self.device} on {self.circuit.label}"
