"""How the vessel is used: hours of each operating state in a day."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from electrical.models.devices import Device
from fitout.jobs.models import Job
from fitout.kit.models import Versioned


class OperatingState(models.TextChoices):
    UNDER_WAY_DAY = "under_way_day", "Under way by day"
    UNDER_WAY_NIGHT = "under_way_night", "Under way by night"
    AT_ANCHOR = "at_anchor", "At anchor"
    WORKING = "working", "Fishing or working"
    ENGINE_START = "engine_start", "Engine start"
    SHORE = "shore", "Charging from shore"
    IDLE = "idle", "Laid up, nobody aboard"


class DayPlan(Versioned):
    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="day_plan")
    state = models.CharField(max_length=20, choices=OperatingState.choices)
    hours = models.DecimalField(
        max_digits=4,
        decimal_places=2,
        validators=[MinValueValidator(Decimal("0")), MaxValueValidator(Decimal("24"))],
    )

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "state"], name="day_plan_state_once")]

    def __str__(self) -> str:
        return f"{self.get_state_display()}: {self.hours} h"


class HomePort(Versioned):
    """Sun and cold at the home port, as somebody looked them up."""

    job = models.OneToOneField(Job, on_delete=models.CASCADE, related_name="home_port")
    irradiation_kwh_m2_day = models.DecimalField(
        "mean daily irradiation on the flat kWh/m²",
        max_digits=4,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.10")), MaxValueValidator(Decimal("12"))],
    )
    lowest_c = models.SmallIntegerField(
        "lowest temperature on record °C",
        null=True,
        blank=True,
        validators=[MinValueValidator(-40), MaxValueValidator(24)],
    )
    latitude_deg = models.DecimalField(
        "latitude °, north positive",
        max_digits=4,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("-66")), MaxValueValidator(Decimal("66"))],
    )
    source = models.CharField("where the figures are from", max_length=120, blank=True)

    def __str__(self) -> str:
        return f"Home port of {self.job}"


class PortMonth(Versioned):
    """Mean sun and air of one month at the home port; None where nobody has looked it up."""

    port = models.ForeignKey(HomePort, on_delete=models.CASCADE, related_name="months")
    month = models.PositiveSmallIntegerField()
    irradiation_kwh_m2_day = models.DecimalField(
        max_digits=4,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.10")), MaxValueValidator(Decimal("12"))],
    )
    air_c = models.DecimalField(
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("-40")), MaxValueValidator(Decimal("45"))],
    )

    class Meta:
        ordering = ["port", "month"]
        constraints = [
            models.UniqueConstraint(fields=["port", "month"], name="port_month_once"),
            models.CheckConstraint(
                condition=models.Q(month__gte=1, month__lte=12), name="port_month_of_a_year"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.port}, month {self.month}"


class DutyOverride(Versioned):
    """A device's share of time on in one state, where it differs from its part's figure."""

    device = models.ForeignKey(Device, on_delete=models.CASCADE, related_name="duty_overrides")
    state = models.CharField(max_length=20, choices=OperatingState.choices)
    duty = models.DecimalField(
        max_digits=4,
        decimal_places=3,
        validators=[MinValueValidator(Decimal("0")), MaxValueValidator(Decimal("1"))],
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["device", "state"], name="duty_override_once")
        ]

    def __str__(self) -> str:
        return f"{self.device}: {self.duty}"
