"""Parts: what can be fitted, with our own code."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.models import Exists, OuterRef, Prefetch, Q, Subquery
from django.urls import reverse

from catalogue.models.labour import LabourOperation, TaxGroup, Trade
from catalogue.models.words import words_of
from fitout.kit.models import Document, Versioned
from fitout.kit.money import round_money

if TYPE_CHECKING:
    from catalogue.models.electrical_data import ElectricalData, LoadData
    from catalogue.models.suppliers import PriceChange


class Unit(models.TextChoices):
    PIECE = "pc", "pc"
    METRE = "m", "m"
    SQUARE_METRE = "m2", "m²"
    SET = "set", "set"
    PAIR = "pair", "pair"
    ROLL = "roll", "roll"
    LITRE = "l", "l"
    KILOGRAM = "kg", "kg"
    BOX = "box", "box"


class Category(models.TextChoices):
    """The system of the vessel a part belongs to."""

    POWER = "power", "Power and batteries"
    CHARGING = "charging", "Charging"
    SOLAR = "solar", "Solar"
    CONVERTERS = "converters", "Converters and inverters"
    DISTRIBUTION = "distribution", "Boards, busbars and switches"
    PROTECTION = "protection", "Fuses and breakers"
    CABLE = "cable", "Cable"
    TERMINALS = "terminals", "Terminals and labels"
    LIGHTING = "lighting", "Lighting"
    NAV_LIGHTS = "nav_lights", "Navigation lights"
    NAVIGATION = "navigation", "Navigation electronics"
    RADIO = "radio", "Radios"
    AUDIO = "audio", "Audio"
    PUMPS = "pumps", "Pumps and plumbing"
    DECK = "deck", "Deck gear and winches"
    MANOEUVRING = "manoeuvring", "Bow motor and trim tabs"
    OUTLETS = "outlets", "Outlets"
    REFRIGERATION = "refrigeration", "Refrigeration and heating"
    STEERING = "steering", "Steering"
    ENGINES = "engines", "Engines and fuel"
    SEATS = "seats", "Seats"
    UPHOLSTERY = "upholstery", "Upholstery"
    COVERING = "covering", "Deck covering"
    GRAPHICS = "graphics", "Graphics"
    SAFETY = "safety", "Safety equipment"
    FIXINGS = "fixings", "Fixings and consumables"


class PartKind(models.TextChoices):
    """Which electrical record a part carries; GENERAL carries none."""

    GENERAL = "general", "No electrical data"
    LOAD = "load", "Load"
    BATTERY = "battery", "Battery"
    CHARGING_SOURCE = "charging_source", "Charging source"
    SOLAR_PANEL = "solar_panel", "Solar panel"
    REGULATOR = "regulator", "Regulator"
    CONVERTER = "converter", "Converter"
    INVERTER = "inverter", "Inverter"
    PROTECTIVE_DEVICE = "protective_device", "Protective device"
    SWITCH = "switch", "Switch"
    BUSBAR = "busbar", "Busbar"
    BOARD = "board", "Distribution board"
    CABLE = "cable", "Cable"
    OUTLET = "outlet", "Outlet"
    DATA_DEVICE = "data_device", "Data device"
    DATA_CABLE = "data_cable", "Data cable"
    TERMINAL = "terminal", "Terminal"
    FUSE_HOLDER = "fuse_holder", "Fuse holder"


WITH_LOAD = frozenset({PartKind.DATA_DEVICE, PartKind.CHARGING_SOURCE})
"""Kinds that may carry load data beside their own: a radar's supply, an engine's starter."""

our_code = RegexValidator(
    r"^[A-Za-z0-9][A-Za-z0-9./+-]*$",
    "Code: letters, digits, full stop, slash, plus and hyphen only, no spaces.",
)


def record_name(record: models.Model) -> str:
    return str(record._meta.model_name)


def record_name_of(kind: str) -> str:
    """The name under which a part holds the record of its kind; empty for general parts."""
    return "" if kind == PartKind.GENERAL else f"{kind.replace('_', '')}data"


RECORD_NAMES = tuple(record_name_of(kind) for kind in PartKind if kind != PartKind.GENERAL)


class Cents(models.DecimalField[Decimal, Decimal]):
    """A computed amount, back to two decimals: SQLite answers such columns in binary."""

    def from_db_value(self, value: Any, expression: Any, connection: Any) -> Decimal | None:
        return None if value is None else round_money(Decimal(value))


def best_offer(field: str, *, part: str = "pk") -> Subquery:
    """A column of the offer a part is bought from: the preferred one, else the cheapest."""
    from catalogue.models.suppliers import SupplierPart

    offers = SupplierPart.objects.filter(part=OuterRef(part))
    chosen = offers.best_first().values(field)[:1]
    if field in {"cost", "pack_quantity", "minimum_order"}:
        return Subquery(chosen, output_field=Cents(max_digits=10, decimal_places=2))
    return Subquery(chosen)


class PartQuerySet(models.QuerySet["Part"]):
    def active(self) -> PartQuerySet:
        return self.filter(active=True)

    def with_cost(self) -> PartQuerySet:
        """Adds `cost`, `lead_days`, `pack_quantity` and `supplier_name` of the best offer."""
        return self.annotate(
            cost=best_offer("cost"),
            lead_days=best_offer("lead_days"),
            pack_quantity=best_offer("pack_quantity"),
            supplier_name=best_offer("supplier__name"),
        )

    def with_electrical(self) -> PartQuerySet:
        return self.select_related(*RECORD_NAMES)

    def matching(self, text: str) -> PartQuerySet:
        """Every word of the text stands in the code, the description or a supplier's code."""
        from catalogue.models.suppliers import SupplierPart

        found = self
        for word in words_of(text):
            offers = SupplierPart.objects.filter(part=OuterRef("pk"), supplier_code__icontains=word)
            found = found.filter(
                Q(code__icontains=word) | Q(description__icontains=word) | Exists(offers)
            )
        return found

    def from_supplier(self, supplier: Any) -> PartQuerySet:
        return self.filter(offers__supplier=supplier, offers__active=True)

    def for_list(self) -> PartQuerySet:
        return self.with_cost().select_related("trade")

    def for_page(self) -> PartQuerySet:
        """Everything one part page shows but its offers, which not everybody may see."""
        from catalogue.models.kits import KitItem

        holders = KitItem.objects.select_related("kit").order_by("kit__code")
        return self.select_related(
            *RECORD_NAMES, "trade", "tax_group", "usual_operation"
        ).prefetch_related("documents", Prefetch("kit_items", queryset=holders))

    def with_wrong_records(self) -> PartQuerySet:
        """Parts whose electrical record does not fit their kind, or is not there."""
        wrong = Q()
        for kind in PartKind:
            own = record_name_of(kind)
            allowed = {own, "loaddata"} if kind in WITH_LOAD else {own}
            for name in RECORD_NAMES:
                if name == own:
                    wrong |= Q(kind=kind, **{f"{name}__isnull": True})
                elif name not in allowed:
                    wrong |= Q(kind=kind, **{f"{name}__isnull": False})
        return self.filter(wrong)


def size_mm(verbose: str) -> models.PositiveIntegerField[int | None, int | None]:
    return models.PositiveIntegerField(
        verbose,
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(50_000)],
    )


class Part(Versioned):
    code = models.CharField(
        max_length=40,
        unique=True,
        validators=[our_code],
        error_messages={"unique": "Code: another part already has this code."},
    )
    description = models.CharField(max_length=200)
    category = models.CharField(max_length=20, choices=Category.choices)
    kind = models.CharField(max_length=20, choices=PartKind.choices, default=PartKind.GENERAL)
    trade = models.ForeignKey(Trade, on_delete=models.PROTECT, related_name="parts")
    usual_operation = models.ForeignKey(
        LabourOperation,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="parts",
        verbose_name="usual labour operation for one",
    )
    unit = models.CharField(max_length=6, choices=Unit.choices, default=Unit.PIECE)
    tax_group = models.ForeignKey(TaxGroup, on_delete=models.PROTECT, related_name="parts")
    mass_kg = models.DecimalField(
        "mass of one unit",
        max_digits=9,
        decimal_places=3,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(Decimal(50000))],
    )
    length_mm = size_mm("length")
    width_mm = size_mm("width")
    height_mm = size_mm("height")
    warranty_months = models.PositiveSmallIntegerField(
        "warranty", default=24, validators=[MaxValueValidator(240)]
    )
    serial_tracked = models.BooleanField("serial number is recorded", default=False)
    ignition_protected = models.BooleanField(null=True, blank=True)
    maintenance = models.CharField("maintenance to do", max_length=200, blank=True)
    maintenance_months = models.PositiveSmallIntegerField(
        "maintenance every",
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(240)],
    )
    active = models.BooleanField(default=True)
    notes = models.TextField(blank=True, max_length=2000)

    objects = PartQuerySet.as_manager()

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(
                condition=Q(mass_kg__isnull=True) | Q(mass_kg__gte=0), name="part_mass_not_negative"
            )
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.description}"

    def get_absolute_url(self) -> str:
        return reverse("catalogue:part", args=[self.pk])

    @property
    def electrical(self) -> ElectricalData | None:
        """The typed record of this part's kind; None for a general part or one not filled in."""
        return getattr(self, record_name_of(self.kind), None) if self.kind else None

    @property
    def load(self) -> LoadData | None:
        """What it draws from a circuit of its own, whatever its kind."""
        return getattr(self, "loaddata", None)

    @property
    def record_names(self) -> set[str]:
        """The records this kind may carry."""
        own = {record_name_of(self.kind)} - {""}
        return own | {"loaddata"} if self.kind in WITH_LOAD else own

    @property
    def records(self) -> list[ElectricalData]:
        found = (getattr(self, name, None) for name in sorted(self.record_names))
        return [record for record in found if record is not None]

    def price_changes(self) -> models.QuerySet[PriceChange]:
        from catalogue.models.suppliers import PriceChange

        history = PriceChange.objects.filter(offer__part=self)
        return history.select_related("offer__supplier", "recorded_by")[:20]


class PartDocument(models.Model):
    """A manual, drawing or certificate: a stored PDF or a link."""

    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="documents")
    title = models.CharField(max_length=120)
    link = models.URLField(blank=True, max_length=500)
    document = models.ForeignKey(
        Document, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["title"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(link="") | Q(document__isnull=False),
                name="part_document_has_link_or_file",
            )
        ]

    def __str__(self) -> str:
        return self.title
