"""The demo catalogue against what is true of such parts outside this project.

Each relation names its source and how sure we are of it. Values marked "from memory" were
not read in the source and are to be checked; "common practice" has no source.
"""

import re
from collections import Counter
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from math import pi
from typing import Any

import pytest
from django.db import transaction
from pytest_django import DjangoDbBlocker

from catalogue import demo
from catalogue.models import (
    Category,
    Chemistry,
    Condition,
    Kit,
    KitItem,
    KitTotals,
    LabourOperation,
    Part,
    PartDocument,
    PartKind,
    Phase,
    PriceChange,
    PriceList,
    ProtectionKind,
    Supplier,
    SupplierPart,
    TaxGroup,
    TerminalForm,
    Trade,
    kit_totals,
)
from electrical.core.tables.iec60228 import CLASS_5
from fitout.kit.models import User

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 25)
COUNTED = (
    Condition, Kit, KitItem, LabourOperation, Part, PartDocument, PriceChange, PriceList, Supplier,
    SupplierPart,
)  # fmt: skip


@dataclass(frozen=True)
class Snapshot:
    """The demo catalogue as loaded, held outside the database so that it loads once."""

    parts: list[Any]
    wrong_records: list[Part]
    totals: dict[str, KitTotals]
    nested: int
    suppliers: list[Supplier]
    operations: list[LabourOperation]
    taxes: list[TaxGroup]
    trades: list[Trade]
    first_counts: dict[str, int]
    second_counts: dict[str, int]
    risen: int

    def of_kind(self, kind: str) -> list[Any]:
        found = [part for part in self.parts if part.kind == kind]
        assert found, kind
        return found


def counts() -> dict[str, int]:
    return {model.__name__: model._default_manager.count() for model in COUNTED}


@pytest.fixture(scope="module")
def catalogue(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Snapshot:
    with django_db_blocker.unblock(), transaction.atomic():
        by = User.objects.create_user("loader", display_name="Loader", role="owner")
        demo.load(by, TODAY)
        first = counts()
        demo.load(by, TODAY)
        taken = snapshot(first)
        transaction.set_rollback(True)
    return taken


def snapshot(first: dict[str, int]) -> Snapshot:
    totals = kit_totals()
    return Snapshot(
        parts=list(Part.objects.with_cost().with_electrical()),
        wrong_records=list(Part.objects.with_wrong_records()),
        totals={kit.code: totals[kit.pk] for kit in Kit.objects.all()},
        nested=KitItem.objects.filter(child__isnull=False).count(),
        suppliers=list(Supplier.objects.all()),
        operations=list(LabourOperation.objects.select_related("trade")),
        taxes=list(TaxGroup.objects.all()),
        trades=list(Trade.objects.all()),
        first_counts=first,
        second_counts=counts(),
        risen=PriceChange.objects.count() - SupplierPart.objects.count(),
    )


def test_it_is_large_enough_for_a_workshop(catalogue: Snapshot) -> None:
    assert len(catalogue.parts) >= 250
    assert len(catalogue.totals) >= 20
    assert sum(not supplier.is_subcontractor for supplier in catalogue.suppliers) >= 10
    assert sum(supplier.is_subcontractor for supplier in catalogue.suppliers) >= 3
    assert len(catalogue.operations) >= 60
    assert catalogue.nested >= 10
    assert catalogue.risen >= 50
    assert catalogue.first_counts["PartDocument"] >= 3
    assert catalogue.first_counts["PriceList"] == 1


def test_loading_it_twice_changes_nothing(catalogue: Snapshot) -> None:
    assert catalogue.first_counts == catalogue.second_counts


def test_it_covers_every_system_and_every_kind(catalogue: Snapshot) -> None:
    assert {part.category for part in catalogue.parts} == set(Category)
    assert {part.kind for part in catalogue.parts} == set(PartKind)


def test_every_part_has_the_record_of_its_kind_a_cost_a_mass_and_a_lead_time(
    catalogue: Snapshot,
) -> None:
    assert catalogue.wrong_records == []
    for part in catalogue.parts:
        assert part.cost > 0, part
        assert part.mass_kg > 0, part
        assert part.lead_days > 0, part


def test_labour_covers_the_trades_and_the_phases(catalogue: Snapshot) -> None:
    assert {operation.trade.code for operation in catalogue.operations} == {
        trade.code for trade in catalogue.trades
    }
    assert {operation.phase for operation in catalogue.operations} == set(Phase)
    assert all(trade.sell_per_h > trade.cost_per_h > 0 for trade in catalogue.trades)
    assert {tax.rate_pct for tax in catalogue.taxes} >= {Decimal(23), Decimal(0)}


def test_every_kit_has_cost_mass_and_hours_and_nothing_missing(catalogue: Snapshot) -> None:
    for code, total in catalogue.totals.items():
        assert total.cost > 0, code
        assert total.mass_kg > 0, code
        assert total.hours > 0, code
        assert not total.without_cost, code
        assert not total.without_mass, code


# What a description says in watts is volts × amps: the definition of the watt.
WATTS = re.compile(r"\b(\d+(?:\.\d+)?) W\b(?! radiated| peak sound| into)")


def watts_said(part: Part) -> float | None:
    if part.code in {"HT-AIR-2", "HT-AIR-4"}:
        return None  # heat out of diesel, not power drawn
    found = WATTS.findall(part.description.replace(",", ", "))
    return float(found[-1]) if found else None


def test_watts_said_are_volts_times_amps(catalogue: Snapshot) -> None:
    checked = 0
    for part in catalogue.parts:
        if part.load is None or watts_said(part) is None:
            continue
        drawn = float(part.load.nominal_v * part.load.current_a)
        assert drawn == pytest.approx(watts_said(part), rel=0.05), part
        checked += 1
    assert checked >= 50


def test_currents_rise_from_running_to_locked_rotor(catalogue: Snapshot) -> None:
    for part in catalogue.parts:
        load = part.load
        if load is not None and load.locked_rotor_a:
            assert load.current_a < load.peak_a < load.locked_rotor_a, part


def test_voltages_are_those_of_small_vessels(catalogue: Snapshot) -> None:
    for part in catalogue.parts:
        if part.load is not None:
            assert part.load.nominal_v in {12, 24, 48}, part


# Density of annealed copper 8.89 g/cm³: NBS Handbook 100 (quoted constants, second-hand).
COPPER_KG_PER_M_MM2 = 8.89e-3
# Area of a gauge from its definition, ASTM B258: d = 0.127 mm × 92^((36 − n) / 39).
GAUGES = {"1/0": 0, "2/0": -1, "3/0": -2, "4/0": -3}


def gauge_mm2(awg: str) -> float:
    number = GAUGES.get(awg) if awg in GAUGES else int(awg)
    assert number is not None
    diameter_mm: float = 0.127 * 92 ** ((36 - number) / 39)
    return pi / 4 * diameter_mm**2


def copper_mm2(cable: Any) -> float:
    one = float(cable.size_mm2) if cable.size_mm2 is not None else gauge_mm2(cable.size_awg)
    return one * int(cable.cores)


def test_cable_weighs_its_copper_and_some_insulation(catalogue: Snapshot) -> None:
    for part in catalogue.of_kind(PartKind.CABLE):
        copper_kg = copper_mm2(part.electrical) * COPPER_KG_PER_M_MM2
        mass_kg = float(part.mass_kg) + 0.0005
        assert copper_kg < mass_kg, part
        # Insulation and sheath: up to 2.2 times the copper on thin twin cable, common practice.
        assert float(part.mass_kg) < copper_kg * (3.2 if part.electrical.sheathed else 2.0), part


def test_copper_fits_in_the_cable(catalogue: Snapshot) -> None:
    for part in catalogue.of_kind(PartKind.CABLE):
        outside_mm2 = pi / 4 * float(part.electrical.outer_diameter_mm) ** 2
        assert copper_mm2(part.electrical) < 0.7 * outside_mm2, part


def test_metric_cable_comes_in_sizes_of_iec_60228(catalogue: Snapshot) -> None:
    """IEC 60228:2004 class 5, sizes seen in reprints of the standard (second-hand)."""
    sizes = {
        float(part.electrical.size_mm2)
        for part in catalogue.of_kind(PartKind.CABLE)
        if part.electrical.size_mm2 is not None
    }
    assert sizes <= set(CLASS_5)
    assert {0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95} <= sizes


def test_every_size_of_metric_cable_has_a_terminal(catalogue: Snapshot) -> None:
    terminals = [part.electrical for part in catalogue.of_kind(PartKind.TERMINAL)]
    for part in catalogue.of_kind(PartKind.CABLE):
        size = part.electrical.size_mm2
        if size is not None:
            fitting = [
                terminal
                for terminal in terminals
                if terminal.form in {TerminalForm.RING, TerminalForm.LUG}
                and terminal.min_mm2 <= size <= terminal.max_mm2
            ]
            assert fitting, part


def test_both_colours_of_a_pair_exist_in_every_size(catalogue: Snapshot) -> None:
    colours: dict[Any, set[str]] = {}
    for part in catalogue.of_kind(PartKind.CABLE):
        if part.electrical.cores == 1:
            key = part.electrical.size_mm2 or part.electrical.size_awg
            colours.setdefault(key, set()).add(part.electrical.colour)
    assert all({"red", "yellow"} <= found for found in colours.values())


# Specific energy [Wh/kg]: lead-acid 30 to 50, lithium iron phosphate pack 80 to 160.
# From memory, to be checked; the ranges are those of textbooks on batteries.
SPECIFIC_ENERGY = {
    Chemistry.FLOODED: (30, 52),
    Chemistry.AGM: (30, 50),
    Chemistry.GEL: (30, 50),
    Chemistry.LFP: (80, 160),
}


def test_batteries_store_what_their_mass_allows(catalogue: Snapshot) -> None:
    batteries = catalogue.of_kind(PartKind.BATTERY)
    assert {part.electrical.chemistry for part in batteries} == set(Chemistry)
    for part in batteries:
        record = part.electrical
        low, high = SPECIFIC_ENERGY[record.chemistry]
        wh_per_kg = float(record.nominal_v * record.capacity_ah / part.mass_kg)
        assert low <= wh_per_kg <= high, (part, wh_per_kg)


def test_short_circuit_current_follows_from_internal_resistance(catalogue: Snapshot) -> None:
    """Ohm's law at the open-circuit voltage, about 1.06 of nominal for lead-acid (from memory)."""
    for part in catalogue.of_kind(PartKind.BATTERY):
        record = part.electrical
        by_ohm = float(record.nominal_v) * 1.06 / (float(record.internal_resistance_mohm) / 1000)
        assert float(record.short_circuit_a) == pytest.approx(by_ohm, rel=0.15), (part, by_ohm)


def test_solar_panels_turn_a_likely_share_of_sunlight_into_power(catalogue: Snapshot) -> None:
    """Rated at 1000 W/m², the standard test condition of IEC 60904-3 (from memory)."""
    for part in catalogue.of_kind(PartKind.SOLAR_PANEL):
        record = part.electrical
        efficiency = float(record.power_w) / (1000 * float(record.area_m2))
        assert 0.14 <= efficiency <= 0.23, (part, efficiency)
        fill = float(record.power_w / (record.voc_v * record.isc_a))
        assert 0.70 <= fill <= 0.85, (part, fill)


def test_pumps_lift_no_more_than_their_power_allows(catalogue: Snapshot) -> None:
    """Hydraulic power is pressure × flow; a small pump makes 15 to 60 % of its draw of it. The
    head is the pressure said, else 1 m of water at full flow. Efficiencies: common practice."""
    flow = re.compile(r"(\d+) l/min")
    pressure = re.compile(r"(\d+(?:\.\d+)?) bar")
    loads = [part for part in catalogue.parts if part.load]
    pumps = [(part, said) for part in loads if (said := flow.search(part.description))]
    assert len(pumps) >= 5
    for part, said in pumps:
        flow_m3_per_s = int(said[1]) / 60_000
        bar = pressure.search(part.description)
        pressure_pa = float(bar[1]) * 1e5 if bar else 9806.65
        useful_w = flow_m3_per_s * pressure_pa
        drawn_w = float(part.load.nominal_v * part.load.current_a)
        # A pump with a pressure switch gives its full flow only well below its cut-out pressure.
        assert useful_w < drawn_w * (0.95 if bar else 0.6), (part, useful_w, drawn_w)


# COLREG 1972 Rule 22(c), vessels under 12 m [NM]; read in reprints of the rule (second-hand).
RULE_22 = {"NL-MAST": 2, "NL-SIDE": 1, "NL-STERN": 2, "NL-ALLR": 2, "NL-TOW": 2}


def test_navigation_lights_reach_as_far_as_the_rule_asks_under_12_m(catalogue: Snapshot) -> None:
    for part in catalogue.parts:
        for prefix, least_nm in RULE_22.items():
            if part.code.startswith(prefix):
                reach = re.search(r"(\d) NM", part.description)
                assert reach is not None, part
                assert int(reach[1]) >= least_nm, part


# Arcs of visibility, COLREG 1972 Rule 21 (from memory, to be checked).
RULE_21 = {"NL-MAST-": "225°", "NL-SIDE": "112.5°", "NL-STERN": "135°", "NL-TOW": "135°"}


def test_navigation_lights_name_their_arc(catalogue: Snapshot) -> None:
    for part in catalogue.parts:
        for prefix, arc in RULE_21.items():
            if part.code.startswith(prefix):
                assert arc in part.description, part


def test_data_devices_draw_at_most_one_ampere_from_the_backbone(catalogue: Snapshot) -> None:
    """20 load units of 50 mA: 1 A per device, IEC 61162-3 by makers' manuals (second-hand)."""
    for part in catalogue.of_kind(PartKind.DATA_DEVICE):
        assert 1 <= part.electrical.load_units <= 20, part
        assert part.electrical.bus_powered or part.load is not None, part


def test_the_backbone_can_be_ended_fed_and_tapped(catalogue: Snapshot) -> None:
    pieces = [part.electrical for part in catalogue.of_kind(PartKind.DATA_CABLE)]
    assert sum(piece.is_terminator for piece in pieces) >= 2
    assert any(piece.is_power_feed for piece in pieces)
    assert any(piece.is_tee for piece in pieces)
    drops = [p for p in catalogue.of_kind(PartKind.DATA_CABLE) if p.code.startswith("ND-DROP")]
    # One drop is 6 m at most: IEC 61162-3 by makers' manuals (second-hand).
    assert all(part.electrical.length_m <= 6 for part in drops)


def test_every_board_has_protection_that_fits_its_ways(catalogue: Snapshot) -> None:
    devices = [part.electrical for part in catalogue.of_kind(PartKind.PROTECTIVE_DEVICE)]
    kinds = Counter(device.device for device in devices)
    assert set(kinds) == set(ProtectionKind)
    for part in catalogue.of_kind(PartKind.BOARD):
        board = part.electrical
        fitting = [
            device
            for device in devices
            if device.device == board.protection
            and device.rating_a <= board.way_max_a
            and device.rated_v >= board.nominal_v
        ]
        assert fitting, part


def test_a_device_never_asks_for_a_larger_fuse_than_there_is(catalogue: Snapshot) -> None:
    ratings = {part.electrical.rating_a for part in catalogue.of_kind(PartKind.PROTECTIVE_DEVICE)}
    for part in catalogue.parts:
        if part.load is not None and part.load.fuse_max_a is not None:
            assert part.load.fuse_max_a in ratings, part


def test_engines_have_the_mass_of_outboards_of_their_power(catalogue: Snapshot) -> None:
    """Four-stroke outboards weigh 1.1 to 3 kg per horsepower (common practice, no source)."""
    for part in catalogue.parts:
        power = re.search(r"Outboard, petrol, (\d+) hp", part.description)
        if power:
            assert 1.1 <= float(part.mass_kg) / int(power[1]) <= 3.0, part


def test_equipment_carries_serial_numbers_and_consumables_do_not(catalogue: Snapshot) -> None:
    serial = {PartKind.BATTERY, PartKind.CHARGING_SOURCE, PartKind.INVERTER, PartKind.REGULATOR}
    never = {PartKind.CABLE, PartKind.TERMINAL, PartKind.PROTECTIVE_DEVICE}
    for part in catalogue.parts:
        assert part.kind not in serial or part.serial_tracked, part
        assert part.kind not in never or not part.serial_tracked, part


def test_mains_gear_defers_to_a_licensed_electrician(catalogue: Snapshot) -> None:
    upkeep = [p for p in catalogue.parts if p.maintenance and "mains" in p.description.lower()]
    assert len(upkeep) >= 5
    for part in upkeep:
        assert "licensed electrician" in part.maintenance, part
