"""What gives or converts power: batteries, chargers, solar, converters, inverters."""

from __future__ import annotations

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from .base import ElectricalData, Reading, percentage, positive


class Chemistry(models.TextChoices):
    FLOODED = "flooded", "Lead-acid, flooded"
    AGM = "agm", "Lead-acid, AGM"
    GEL = "gel", "Lead-acid, gel"
    LFP = "lfp", "Lithium iron phosphate"


class BatteryUse(models.TextChoices):
    HOUSE = "house", "House"
    START = "start", "Engine start"
    MOTOR = "motor", "Winch or bow motor"


class BatteryData(ElectricalData):
    chemistry = models.CharField(max_length=10, choices=Chemistry.choices)
    use = models.CharField(max_length=10, choices=BatteryUse.choices, default=BatteryUse.HOUSE)
    nominal_v = positive("nominal voltage", required=True, places=1, ceiling=60)
    capacity_ah = positive("capacity", required=True, places=1, ceiling=5000)
    rated_h = models.PositiveSmallIntegerField(
        "rated over", default=20, validators=[MinValueValidator(1), MaxValueValidator(120)]
    )
    internal_resistance_mohm = positive("internal resistance", ceiling=1000)
    short_circuit_a = positive("maker's short-circuit current", places=0, ceiling=100_000)
    cold_cranking_a = positive("cold cranking current", places=0, ceiling=5000)
    max_discharge_a = positive("largest continuous discharge", places=1, ceiling=5000)
    max_charge_a = positive("largest charge current", places=1, ceiling=5000)
    usable_pct = percentage("usable part of the capacity")
    charge_efficiency_pct = percentage("amp-hours out for each put in")
    min_charge_temp_c = models.SmallIntegerField(
        "lowest charging temperature",
        null=True,
        blank=True,
        validators=[MinValueValidator(-40), MaxValueValidator(40)],
    )

    class Meta:
        verbose_name = "battery data"

    def clean(self) -> None:
        super().clean()
        self.not_above("max_discharge_a", "short_circuit_a")
        self.not_above("cold_cranking_a", "short_circuit_a")


class ChargingKind(models.TextChoices):
    ALTERNATOR = "alternator", "Alternator"
    MAINS = "mains", "Mains charger"
    DCDC = "dcdc", "DC-DC charger"


class ChargingSourceData(ElectricalData):
    source = models.CharField(max_length=12, choices=ChargingKind.choices)
    input_v = positive("input voltage", places=1, ceiling=260)
    input_min_v = positive("lowest input voltage", places=1, ceiling=60)
    nominal_v = positive("output voltage", required=True, places=1, ceiling=60)
    output_a = positive("output current", required=True, places=1, ceiling=1000)
    output_engine_idle_a = positive("output at idle", places=1, ceiling=1000)
    efficiency_pct = percentage("efficiency")
    output_limited = models.BooleanField("output current limited by itself", default=False)

    class Meta:
        verbose_name = "charging source data"

    def clean(self) -> None:
        super().clean()
        self.not_above("output_engine_idle_a", "output_a")
        self.not_above("input_min_v", "input_v")
        if self.input_min_v is not None and self.source != ChargingKind.DCDC:
            raise ValidationError(
                {"input_min_v": "Lowest input voltage: only a DC-DC charger is wired for it."}
            )
        if self.output_engine_idle_a is not None and self.source != ChargingKind.ALTERNATOR:
            raise ValidationError(
                {"output_engine_idle_a": "Output at idle: only an engine's alternator idles."}
            )


POWER_TOLERANCE = Decimal("0.05")
"""How far rated power may stand from voltage times current before it is a typing error."""

FULL_SUN_W_M2 = 1000
"""Irradiance at which panels are rated, IEC 61215 and IEC 60904-3 (from memory, to be checked)."""

VOC_LOW, VOC_HIGH = Decimal("-1"), Decimal("-0.05")
"""What a panel can have [%/°C]; nearer to nought the figure was printed in another unit."""

POWER_FOUND = "power found from area and efficiency, at 1000 W/m²"
DENSITY = "rated power of one square metre"


class SolarPanelData(ElectricalData):
    power_w = positive("rated power", places=1, ceiling=2000)
    voc_v = positive("open-circuit voltage", required=True, places=2, ceiling=200)
    isc_a = positive("short-circuit current", required=True, places=2, ceiling=100)
    vmp_v = positive("voltage at rated power", places=2, ceiling=200)
    imp_a = positive("current at rated power", places=2, ceiling=100)
    voc_coefficient_pct_per_c = models.DecimalField(
        "change of open-circuit voltage",
        max_digits=5,
        decimal_places=3,
        null=True,
        blank=True,
        validators=[MinValueValidator(VOC_LOW), MaxValueValidator(VOC_HIGH)],
    )
    area_m2 = positive("area", ceiling=20)
    efficiency_pct = percentage("efficiency in full sun")

    class Meta:
        verbose_name = "solar panel data"
        constraints = [
            models.CheckConstraint(
                condition=Q(power_w__isnull=False)
                | Q(area_m2__isnull=False, efficiency_pct__isnull=False),
                name="solar_panel_power_told_or_found",
            ),
            models.CheckConstraint(
                condition=Q(voc_coefficient_pct_per_c__isnull=True)
                | Q(
                    voc_coefficient_pct_per_c__gte=VOC_LOW,
                    voc_coefficient_pct_per_c__lte=VOC_HIGH,
                ),
                name="solar_panel_voltage_coefficient_of_a_cell",
            ),
        ]

    @property
    def rated_w(self) -> Decimal:
        """As the maker rates it, else area × efficiency in full sun."""
        return self._area_power_w or Decimal(0) if self.power_w is None else self.power_w

    @property
    def _area_power_w(self) -> Decimal | None:
        if self.area_m2 is None or self.efficiency_pct is None:
            return None
        found_w: Decimal = FULL_SUN_W_M2 * self.area_m2 * self.efficiency_pct / 100
        return found_w

    @property
    def density_w_m2(self) -> Decimal | None:
        """Rated power of one square metre; None without the panel's area."""
        return self.rated_w / self.area_m2 if self.area_m2 else None

    def rows(self) -> list[Reading]:
        shown = super().rows()
        if self.power_w is None:
            shown.append(Reading(POWER_FOUND, self.rated_w.quantize(Decimal("0.1")), "W"))
        if self.density_w_m2 is not None:
            shown.append(Reading(DENSITY, self.density_w_m2.quantize(Decimal(1)), "W/m²"))
        return shown

    def clean(self) -> None:
        super().clean()
        self.not_above("vmp_v", "voc_v")
        self.not_above("imp_a", "isc_a")
        if self.power_w is None and self._area_power_w is None:
            message = "Rated power: give it, or both area and efficiency to find it from."
            raise ValidationError({"power_w": message})
        if self.vmp_v is not None and self.imp_a is not None:
            product = self.vmp_v * self.imp_a
            self._power_agrees(product, f"{self.vmp_v} V × {self.imp_a} A")
        if self._area_power_w is not None:
            words = f"{self.area_m2} m² × {self.efficiency_pct} % × {FULL_SUN_W_M2} W/m²"
            self._power_agrees(self._area_power_w, words)

    def _power_agrees(self, found_w: Decimal, words: str) -> None:
        power_w = self.rated_w
        if abs(found_w - power_w) > power_w * POWER_TOLERANCE:
            raise ValidationError(
                {
                    "power_w": f"Rated power: {power_w:f} W does not agree with "
                    f"{words} = {found_w:.1f} W."
                }
            )


class Matching(models.TextChoices):
    TRACKING = "tracking", "Tracks the panel's power"
    SWITCHED = "switched", "Switches the panel's current"


class RegulatorData(ElectricalData):
    matching = models.CharField(
        "how it matches panel and battery", max_length=10, choices=Matching.choices, blank=True
    )
    max_input_v = positive("largest input voltage", required=True, places=1, ceiling=1000)
    max_input_a = positive("largest input current", places=1, ceiling=500)
    nominal_v = positive("output voltage", required=True, places=1, ceiling=60)
    output_a = positive("output current", required=True, places=1, ceiling=500)
    efficiency_pct = percentage("efficiency")

    class Meta:
        verbose_name = "regulator data"


class ConverterData(ElectricalData):
    input_v = positive("input voltage", required=True, places=1, ceiling=60)
    input_min_v = positive("lowest input voltage", places=1, ceiling=60)
    output_v = positive("output voltage", required=True, places=1, ceiling=60)
    output_a = positive("output current", required=True, places=1, ceiling=500)
    efficiency_pct = percentage("efficiency")
    isolated = models.BooleanField("output isolated from input", default=False)

    class Meta:
        verbose_name = "converter data"

    def clean(self) -> None:
        super().clean()
        self.not_above("input_min_v", "input_v")


class InverterData(ElectricalData):
    """DC side only: the mains side belongs to a licensed electrician."""

    input_v = positive("input voltage", required=True, places=1, ceiling=60)
    input_min_v = positive("lowest input voltage", places=1, ceiling=60)
    output_w = positive("output power", required=True, places=0, ceiling=10_000)
    peak_w = positive("peak power", places=0, ceiling=20_000)
    peak_s = positive("time of the peak power", places=1, ceiling=600)
    efficiency_pct = percentage("efficiency")

    class Meta:
        verbose_name = "inverter data"

    def clean(self) -> None:
        super().clean()
        self.not_above("input_min_v", "input_v")
        self.not_above("output_w", "peak_w")
