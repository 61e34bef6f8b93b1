"""What uses power."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.core.validators import MinValueValidator
from django.db import models

from .base import ElectricalData, duty, percentage, positive


class LoadNature(models.TextChoices):
    CONSTANT_POWER = "constant_power", "Constant power (electronics, LED with driver)"
    CONSTANT_CURRENT = "constant_current", "Constant current"
    RESISTIVE = "resistive", "Resistive (heater, filament)"
    MOTOR = "motor", "Motor"
    MIX = "mix", "Part constant power, part resistance"


class LoadFunction(models.TextChoices):
    """What it is for; decides wire colour, drop limit and grouping on boards."""

    NAV_LIGHT = "nav_light", "Navigation light"
    BILGE_PUMP = "bilge_pump", "Bilge pump"
    BLOWER = "blower", "Bilge blower"
    NAVIGATION = "navigation", "Navigation electronics"
    RADIO = "radio", "Radio"
    PUMP = "pump", "Pump"
    LIGHT = "light", "Cabin, deck or instrument light"
    ACCESSORY = "accessory", "Accessory"
    WINCH = "winch", "Winch or bow motor"
    ENGINE = "engine", "Engine start and engine electronics"
    HEATING = "heating", "Heating or refrigeration"
    ALARM = "alarm", "Alarm or detector"


class LoadData(ElectricalData):
    """Of a load; and of a data device or an engine that also has a supply of its own."""

    nominal_v = positive("nominal voltage", required=True, places=1, ceiling=60)
    current_a = positive("running current", required=True, ceiling=2000)
    peak_a = positive("starting or peak current", ceiling=5000)
    locked_rotor_a = positive("locked rotor current", ceiling=5000)
    start_s = positive("time of a start", places=2, ceiling=60)
    min_v = positive("lowest working voltage", places=1, ceiling=60)
    fuse_max_a = positive("largest fuse the maker allows", places=1, ceiling=2000)
    nature = models.CharField(max_length=20, choices=LoadNature.choices)
    resistive_pct = percentage("part of a mix that is resistance")
    function = models.CharField(max_length=20, choices=LoadFunction.choices)
    continuous = models.BooleanField(default=False)
    always_live = models.BooleanField("fed ahead of the isolator", default=False)
    duty_under_way_day = duty("duty under way by day")
    duty_under_way_night = duty("duty under way by night")
    duty_at_anchor = duty("duty at anchor")
    duty_working = duty("duty fishing or working")
    duty_engine_start = duty("duty at engine start")
    duty_shore = duty("duty charging from shore")

    class Meta:
        verbose_name = "load data"

    def clean(self) -> None:
        super().clean()
        self.not_above("current_a", "peak_a")
        self.not_above("min_v", "nominal_v")
        self._mix_is_told()
        if self.fuse_max_a is not None and self.fuse_max_a < (self.current_a or 0):
            raise ValidationError(
                {
                    "fuse_max_a": f"Largest fuse: {self.fuse_max_a} A is below the running "
                    f"current of {self.current_a} A."
                }
            )

    def _mix_is_told(self) -> None:
        is_mix = self.nature == LoadNature.MIX
        if is_mix and self.resistive_pct is None:
            message = "Part of a mix that is resistance: a mix needs it, 1 to 100 %."
            raise ValidationError({"resistive_pct": message})
        if not is_mix and self.resistive_pct is not None:
            message = "Part of a mix that is resistance: only for a load that is a mix."
            raise ValidationError({"resistive_pct": message})


class OutletData(ElectricalData):
    nominal_v = positive("nominal voltage", required=True, places=1, ceiling=60)
    rated_a = positive("rated current", required=True, places=1, ceiling=200)
    typical_a = positive("current to allow for", places=2, ceiling=200)
    outlets = models.PositiveSmallIntegerField(
        "number of outlets", default=1, validators=[MinValueValidator(1)]
    )
    duty_under_way_day = duty("duty under way by day")
    duty_under_way_night = duty("duty under way by night")
    duty_at_anchor = duty("duty at anchor")
    duty_working = duty("duty fishing or working")

    class Meta:
        verbose_name = "outlet data"

    def clean(self) -> None:
        super().clean()
        self.not_above("typical_a", "rated_a")
