"""The vessel's data network, IEC 61162-3."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from .base import ElectricalData, positive


class DataDeviceData(ElectricalData):
    """On the data backbone. A device with a supply of its own carries load data as well."""

    load_units = models.PositiveSmallIntegerField(
        "load units (50 mA each)",
        default=1,
        validators=[MinValueValidator(1), MaxValueValidator(20)],
    )
    bus_powered = models.BooleanField("fed from the backbone", default=True)

    class Meta:
        verbose_name = "data device data"


class DataGrade(models.TextChoices):
    LIGHT = "light", "Light"
    MID = "mid", "Mid"
    HEAVY = "heavy", "Heavy"


class DataCableData(ElectricalData):
    """A made-up cable, a tee, a terminator or the power feed of the backbone."""

    grade = models.CharField(max_length=10, choices=DataGrade, default=DataGrade.LIGHT)
    resistance_ohm_per_100m = positive(
        "resistance Ω per 100 m of one conductor", required=True, ceiling=20
    )
    length_m = positive("length of a made-up cable m", places=2, ceiling=250)
    is_terminator = models.BooleanField("terminator", default=False)
    is_tee = models.BooleanField("tee", default=False)
    is_power_feed = models.BooleanField("power feed of the backbone", default=False)

    class Meta:
        verbose_name = "data cable data"
