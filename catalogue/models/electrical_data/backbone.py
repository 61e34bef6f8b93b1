"""The vessel's data network, IEC 61162-3."""

from __future__ import annotations

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from .base import ElectricalData, positive


class DataDeviceData(ElectricalData):
    """On the data backbone. A device with a supply of its own carries load data as well."""

    load_units = models.PositiveSmallIntegerField(
        "load units (50 mA each)",
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(20)],
    )
    bus_powered = models.BooleanField("fed from the backbone", default=True)

    class Meta:
        verbose_name = "data device data"

    @property
    def supply_a(self) -> Decimal | None:
        """Current drawn from a circuit of its own; None when fed from the backbone alone."""
        return self._of_load("current_a")

    @property
    def nominal_v(self) -> Decimal | None:
        return self._of_load("nominal_v")

    @property
    def duty_under_way_day(self) -> Decimal | None:
        return self._of_load("duty_under_way_day")

    @property
    def duty_under_way_night(self) -> Decimal | None:
        return self._of_load("duty_under_way_night")

    @property
    def duty_at_anchor(self) -> Decimal | None:
        return self._of_load("duty_at_anchor")

    @property
    def duty_working(self) -> Decimal | None:
        return self._of_load("duty_working")

    @property
    def duty_engine_start(self) -> Decimal | None:
        return self._of_load("duty_engine_start")

    @property
    def duty_shore(self) -> Decimal | None:
        return self._of_load("duty_shore")

    def _of_load(self, name: str) -> Decimal | None:
        load = self.part.load
        return None if load is None else getattr(load, name)


class DataGrade(models.TextChoices):
    LIGHT = "light", "Light"
    MID = "mid", "Mid"
    HEAVY = "heavy", "Heavy"


class DataCableData(ElectricalData):
    """A made-up cable, a tee, a terminator or the power feed of the backbone."""

    grade = models.CharField(max_length=10, choices=DataGrade, default=DataGrade.LIGHT)
    resistance_ohm_per_100m = positive("resistance of one conductor", required=True, ceiling=20)
    length_m = positive("length of a made-up cable", places=2, ceiling=250)
    is_terminator = models.BooleanField("terminator", default=False)
    is_tee = models.BooleanField("tee", default=False)
    is_power_feed = models.BooleanField("power feed of the backbone", default=False)

    class Meta:
        verbose_name = "data cable data"
