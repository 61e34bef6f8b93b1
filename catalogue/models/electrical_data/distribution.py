"""What carries, joins, switches and protects."""

from __future__ import annotations

from dataclasses import replace

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from .base import ElectricalData, Reading, positive
from .time_current import curve_words, validate_curve


class ProtectionKind(models.TextChoices):
    BLADE = "blade", "Blade fuse, ISO 8820-3"
    BLADE_HIGH = "blade_high", "High-current blade fuse, ISO 8820-3 type E"
    STRIP_M5 = "strip_m5", "Bolt-in strip fuse M5, ISO 8820-5"
    STRIP_M8 = "strip_m8", "Bolt-in strip fuse M8, ISO 8820-5"
    CUBE = "cube", "Terminal-mount cube fuse"
    CLASS_T = "class_t", "Class T fuse"
    CYLINDRICAL = "cylindrical", "Cylindrical fuse-link 10 × 38 mm, IEC 60269-2"
    BREAKER_PANEL = "breaker_panel", "Panel breaker, hydraulic-magnetic"
    BREAKER_THERMAL = "breaker_thermal", "Surface breaker, thermal"


CURVE = "maker's time-current curve"


class ProtectiveDeviceData(ElectricalData):
    device = models.CharField(max_length=16, choices=ProtectionKind.choices)
    rating_a = positive("rating", required=True, places=1, ceiling=2000)
    rated_v = positive("rated voltage d.c.", required=True, places=1, ceiling=1000)
    breaking_capacity_a = positive("breaking capacity", places=0, ceiling=100_000)
    resettable = models.BooleanField(default=False)
    time_current = models.TextField(
        CURVE,
        blank=True,
        max_length=500,
        validators=[validate_curve],
        help_text="One row for each multiple of the rating: times rating, shortest s, longest s; "
        "a dash where it need not open. Such as 2 0.15 5.",
    )
    curve_source = models.CharField("where the curve is printed", max_length=120, blank=True)

    class Meta:
        verbose_name = "protective device data"

    def clean(self) -> None:
        super().clean()
        if self.time_current.strip() and not self.curve_source.strip():
            raise ValidationError(
                {"curve_source": "name the data sheet or page the curve is printed on."}
            )

    def rows(self) -> list[Reading]:
        return [
            replace(reading, value=curve_words(self.time_current))
            if reading.label == CURVE
            else reading
            for reading in super().rows()
        ]


class SwitchData(ElectricalData):
    rated_v = positive("rated voltage d.c.", required=True, places=1, ceiling=1000)
    continuous_a = positive("continuous current", required=True, places=1, ceiling=3000)
    intermittent_a = positive("five-minute current", places=1, ceiling=5000)
    cranking_a = positive("cranking current", places=1, ceiling=5000)
    poles = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1)])
    is_isolator = models.BooleanField("battery isolator", default=False)
    is_emergency_parallel = models.BooleanField("emergency parallel switch", default=False)

    class Meta:
        verbose_name = "switch data"

    def clean(self) -> None:
        super().clean()
        self.not_above("continuous_a", "intermittent_a")


class BusbarData(ElectricalData):
    rated_a = positive("continuous current", required=True, places=1, ceiling=3000)
    rated_v = positive("rated voltage", places=1, ceiling=1000)
    studs = models.PositiveSmallIntegerField("ways", default=4, validators=[MinValueValidator(2)])

    class Meta:
        verbose_name = "busbar data"


class BoardData(ElectricalData):
    rated_a = positive("total current", required=True, places=1, ceiling=1000)
    ways = models.PositiveSmallIntegerField(default=6, validators=[MinValueValidator(1)])
    way_max_a = positive("largest current of one way", places=1, ceiling=500)
    nominal_v = positive("nominal voltage", places=1, ceiling=60)
    protection = models.CharField(
        "takes", max_length=16, choices=ProtectionKind.choices, default=ProtectionKind.BLADE
    )

    class Meta:
        verbose_name = "board data"

    def clean(self) -> None:
        super().clean()
        self.not_above("way_max_a", "rated_a")


class CableData(ElectricalData):
    """Either metric cross-section or wire gauge, never both."""

    size_mm2 = positive("cross-section", places=2, ceiling=300)
    size_awg = models.CharField("gauge AWG", max_length=4, blank=True)
    cores = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1)])
    insulation_c = models.PositiveSmallIntegerField(
        "insulation temperature",
        default=90,
        validators=[MinValueValidator(60), MaxValueValidator(200)],
    )
    tinned = models.BooleanField(default=True)
    sheathed = models.BooleanField(default=False)
    strand_class = models.PositiveSmallIntegerField("IEC 60228 class", default=5)
    colour = models.CharField(max_length=40, blank=True)
    max_r_ohm_per_km = positive(
        "maker's largest resistance of one conductor at 20 °C", places=4, ceiling=100
    )
    outer_diameter_mm = positive("outer diameter", places=1, ceiling=100)

    class Meta:
        verbose_name = "cable data"
        constraints = [
            models.CheckConstraint(
                condition=(Q(size_mm2__isnull=False) & Q(size_awg=""))
                | (Q(size_mm2__isnull=True) & ~Q(size_awg="")),
                name="cable_mm2_or_awg",
            )
        ]

    def clean(self) -> None:
        super().clean()
        if (self.size_mm2 is None) == (self.size_awg == ""):
            raise ValidationError(
                {"size_mm2": "Cross-section: give either mm² or a wire gauge, one of the two."}
            )


class TerminalForm(models.TextChoices):
    RING = "ring", "Ring"
    LUG = "lug", "Tubular lug"
    BUTT = "butt", "Butt connector"
    PUSH_ON = "push_on", "Push-on, female"
    FERRULE = "ferrule", "Ferrule"


class TerminalData(ElectricalData):
    """Which conductors a crimped terminal takes, so that orders can count them."""

    form = models.CharField(max_length=10, choices=TerminalForm)
    min_mm2 = positive("smallest conductor", required=True, places=2, ceiling=300)
    max_mm2 = positive("largest conductor", required=True, places=2, ceiling=300)
    stud_mm = positive("for stud", places=1, ceiling=30)
    heat_shrink = models.BooleanField("with adhesive heat-shrink", default=False)

    class Meta:
        verbose_name = "terminal data"

    def clean(self) -> None:
        super().clean()
        self.not_above("min_mm2", "max_mm2")
        if self.form in {TerminalForm.RING, TerminalForm.LUG} and self.stud_mm is None:
            raise ValidationError({"stud_mm": "For stud: a ring or lug needs its stud size."})


class FuseHolderData(ElectricalData):
    takes = models.CharField(max_length=16, choices=ProtectionKind)
    rated_a = positive("largest fuse", required=True, places=1, ceiling=2000)
    ways = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1)])

    class Meta:
        verbose_name = "fuse holder data"
