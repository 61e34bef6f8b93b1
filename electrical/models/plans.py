"""How the vessel is used: the hours of each kind of day, and how often each comes."""

from calendar import month_name
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


def _month_field(words: str) -> models.PositiveSmallIntegerField[int | None, int | None]:
    return models.PositiveSmallIntegerField(
        words,
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(12)],
    )


class UseProfile(Versioned):
    """One kind of day, such as a working day; its spans cover the 24 hours."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="use_profiles")
    name = models.CharField(max_length=60)
    days_per_week = models.DecimalField(
        "days a week",
        max_digits=2,
        decimal_places=1,
        validators=[MinValueValidator(Decimal("0.1")), MaxValueValidator(Decimal(7))],
    )
    first_month = _month_field("first month")
    last_month = _month_field("last month")
    is_clock_assumed = models.BooleanField("hours of the day assumed", default=False)

    class Meta:
        ordering = ["job", "id"]
        constraints = [
            models.UniqueConstraint(fields=["job", "name"], name="use_profile_name_once_per_job"),
            models.CheckConstraint(
                condition=models.Q(days_per_week__gt=0, days_per_week__lte=7),
                name="use_profile_within_a_week",
            ),
            models.CheckConstraint(
                condition=models.Q(first_month__isnull=True, last_month__isnull=True)
                | models.Q(
                    first_month__gte=1, first_month__lte=12, last_month__gte=1, last_month__lte=12
                ),
                name="use_profile_season_of_a_year",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def months(self) -> frozenset[int]:
        """Months in which it holds; a season may go over the turn of the year."""
        if self.first_month is None or self.last_month is None:
            return frozenset(range(1, 13))
        count = (self.last_month - self.first_month) % 12 + 1
        return frozenset((self.first_month - 1 + n) % 12 + 1 for n in range(count))


class ProfileSpan(models.Model):
    """From its hour to the next span's, around midnight: any spans cover the day just once."""

    profile = models.ForeignKey(UseProfile, on_delete=models.CASCADE, related_name="spans")
    from_hour = models.PositiveSmallIntegerField()
    state = models.CharField(max_length=20, choices=OperatingState.choices)

    class Meta:
        ordering = ["profile", "from_hour"]
        constraints = [
            models.UniqueConstraint(fields=["profile", "from_hour"], name="profile_span_once"),
            models.CheckConstraint(
                condition=models.Q(from_hour__lte=23), name="profile_span_of_a_day"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.from_hour:02d} h: {self.get_state_display()}"


class DayPlan(Versioned):
    """Hours a day by state, as told before there were use profiles; the audit trail names it."""

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
    """Mean sun and air of one month at the home port; None where nobody has looked it up.

    Nought is a figure: near the polar circle a table prints it for the darkest months.
    """

    port = models.ForeignKey(HomePort, on_delete=models.CASCADE, related_name="months")
    month = models.PositiveSmallIntegerField()
    irradiation_kwh_m2_day = models.DecimalField(
        max_digits=4,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0")), MaxValueValidator(Decimal("12"))],
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
        return month_name[self.month]


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
