"""Test sheets: what is measured on each circuit and system, and what is expected.

Expected values come from the computed design, so a reading outside them says that the vessel
is not as drawn. Tolerances for joints and meters are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from catalogue.models import Category
from electrical.check import check
from electrical.core.results import CircuitResult
from electrical.listing import CircuitRow, Listing
from fitout.handover.models import Outcome, SheetKind, TestReading, TestSheet
from fitout.jobs.models import Job, VesselKind
from fitout.jobs.sheet import sheet_lines
from fitout.kit.audit import record, tracked
from fitout.kit.models import User

JOINTS_OHM = 0.02
DROP_TOLERANCE = 1.10
PRACTICE = "common practice, no source"


@dataclass(frozen=True, kw_only=True)
class Expected:
    """One row of a sheet before it is stored. Both bounds None: judged by eye."""

    what: str
    unit: str = ""
    low: float | None = None
    high: float | None = None
    source: str = ""
    circuit_id: int | None = None
    check: str = ""


def circuit_rows(listing: Listing) -> list[Expected]:
    rows: list[Expected] = []
    for row in listing.rows:
        rows += _of_circuit(row, listing.checked.result_of(row.circuit))
    return rows


def _of_circuit(row: CircuitRow, result: CircuitResult | None) -> list[Expected]:
    name = f"{row.label} {row.circuit.name}"
    own = row.circuit.pk
    rows = [
        Expected(
            what=f"{name}: label at both ends",
            source="circuit list",
            circuit_id=own,
            check="label",
        ),
        Expected(
            what=f"{name}: polarity at the device",
            source=PRACTICE,
            circuit_id=own,
            check="polarity",
        ),
    ]
    device = row.fuse
    if row.end_fuse:
        device = f"{device}, and {row.end_fuse}" if device else row.end_fuse
        device += " at the far end"
    if device:
        rows.append(
            Expected(
                what=f"{name}: protective device fitted is {device}",
                source="circuit list",
                circuit_id=own,
                check="device",
            )
        )
    loop = _loop_resistance(row, result, name)
    drop = _drop(row, result, name)
    return rows + [item for item in (loop, drop) if item is not None]


def _loop_resistance(row: CircuitRow, result: CircuitResult | None, name: str) -> Expected | None:
    if result is None or result.resistance is None or row.length_m is None:
        return None
    highest = result.resistance.r20_ohm_per_km * 2 * row.length_m / 1000 + JOINTS_OHM
    return Expected(
        what=f"{name}: loop resistance, both conductors, device disconnected",
        unit="Ω",
        low=0.0,
        high=round(highest, 4),
        source=(
            f"{result.resistance.clause.source}: 2 × {row.length_m:.1f} m of {row.cable} at 20 °C, "
            f"plus {JOINTS_OHM} Ω for joints ({PRACTICE})"
        ),
        circuit_id=row.circuit.pk,
        check="loop",
    )


def _drop(row: CircuitRow, result: CircuitResult | None, name: str) -> Expected | None:
    if result is None or result.drop is None or result.drop.current_a <= 0:
        return None
    return Expected(
        what=f"{name}: voltage drop of the run at {result.drop.current_a:.3g} A",
        unit="V",
        low=0.0,
        high=round(result.drop.own_v * DROP_TOLERANCE, 3),
        source=f"computed {result.drop.own_v:.3g} V, hot, plus 10 % for the meter ({PRACTICE})",
        circuit_id=row.circuit.pk,
        check="drop",
    )


#: Checks of a system, by the category of part that calls for them. Common practice, no source.
SYSTEMS: dict[str, tuple[str, tuple[Expected, ...]]] = {
    Category.POWER: (
        "Batteries and isolation",
        (
            Expected(what="Batteries fastened, terminals covered"),
            Expected(what="Isolators off: everything dead but the always-live circuits"),
            Expected(
                what="Current drawn with the isolators off",
                unit="A",
                low=0.0,
                high=0.5,
                source=PRACTICE,
            ),
            Expected(what="Electronics disconnected before the insulation test"),
            Expected(
                what="Insulation of positive to hull or chassis, isolators on, loads disconnected",
                unit="kΩ",
                low=10.0,
                source=PRACTICE,
            ),
        ),
    ),
    Category.CHARGING: (
        "Charging",
        (
            Expected(what="Engine running: charge current flows into the house battery"),
            Expected(what="Charge settings as the battery maker states"),
        ),
    ),
    Category.SOLAR: ("Solar", (Expected(what="Panels in sun: the regulator shows charge"),)),
    Category.NAV_LIGHTS: (
        "Navigation lights",
        (
            Expected(what="Each light shows, colours and arcs as in COLREG Rule 21 and Annex I"),
            Expected(what="Lights seen in pairs as in the rules: under way and at anchor"),
        ),
    ),
    Category.PUMPS: (
        "Bilge and pumps",
        (
            Expected(what="Each bilge pump starts by its float with the isolators off"),
            Expected(what="Each bilge pump starts by its switch"),
            Expected(what="High-water alarm sounds"),
            Expected(what="Discharge above the waterline, no siphon back"),
        ),
    ),
    Category.NAVIGATION: (
        "Data backbone and electronics",
        (
            Expected(
                what="Data backbone unpowered, between the data lines",
                unit="Ω",
                low=54.0,
                high=66.0,
                source="two 120 Ω terminators side by side are 60 Ω, ±10 %",
            ),
            Expected(
                what="Data backbone powered, supply at the far end",
                unit="V",
                low=9.0,
                high=16.0,
                source="supply window of the data backbone, second-hand",
            ),
            Expected(what="Every device seen on the backbone, data plausible"),
        ),
    ),
    Category.RADIO: ("Radio", (Expected(what="Radio check made, own identity programmed"),)),
    Category.STEERING: (
        "Steering",
        (Expected(what="Hard over to hard over, free and without leak"),),
    ),
    Category.ENGINES: (
        "Engines and fuel",
        (
            Expected(what="Fuel system tight under pressure test; no smell of petrol"),
            Expected(what="Blower run and vapour checked before the first start"),
            Expected(what="Kill cord stops the engine"),
            Expected(what="Start, charge and gauges on each engine"),
        ),
    ),
    Category.REFRIGERATION: (
        "Refrigeration and heating",
        (
            Expected(what="Runs an hour; ventilation of the compressor or heater free"),
            Expected(what="Carbon monoxide alarm fitted and tested where anything burns fuel"),
        ),
    ),
}

BOAT_TRIAL = (
    Expected(what="Weather and sea state noted"),
    Expected(what="Full ahead: engine speed in the maker's range"),
    Expected(what="Crash stop and astern"),
    Expected(what="Turning circle to port and to starboard"),
    Expected(what="Electronics steady at full speed; no interference on the radio"),
    Expected(what="Battery voltage under way", unit="V", low=13.2, high=14.8, source=PRACTICE),
    Expected(what="Bilge dry after the trial"),
    Expected(what="Nothing loose, no hot cable or terminal by touch at the boards"),
)
ROAD_TEST = (
    Expected(what="Nothing loose or rattling after 20 km"),
    Expected(what="Charging from the engine under way"),
    Expected(what="Warning lights of the vehicle off"),
    Expected(what="Mass on the axles weighed and within the plate"),
    Expected(what="No hot cable or terminal by touch at the boards"),
)


@transaction.atomic
def generate(job: Job, *, by: User) -> int:
    """Make or refresh the sheets; rows that were tested stay as they are. Returns new rows."""
    Job.objects.select_for_update().get(pk=job.pk)
    listing = Listing(checked=check(job), numbers={})
    is_boat = job.vessel.kind == VesselKind.BOAT
    added = _fill(job, SheetKind.CIRCUITS, "Circuits", circuit_rows(listing), 1)
    categories = {line.part_category for line in sheet_lines(job) if line.counts}
    for place, (category, (title, rows)) in enumerate(SYSTEMS.items(), 2):
        if category in categories:
            added += _fill(job, SheetKind.SYSTEM, title, rows, place)
    title, rows = ("Sea trial", BOAT_TRIAL) if is_boat else ("Road test", ROAD_TEST)
    added += _fill(job, SheetKind.TRIAL, title, rows, 100)
    record(by, "generate", job, scope=job.scope, label=f"Test sheets made: {added} new rows")
    return added


def _fill(
    job: Job, kind: str, title: str, rows: list[Expected] | tuple[Expected, ...], place: int
) -> int:
    sheet, _ = TestSheet.objects.get_or_create(
        job=job, title=title, defaults={"kind": kind, "position": place}
    )
    stored = {reading.what: reading for reading in sheet.readings.all()}
    fresh, added = [], 0
    for position, row in enumerate(rows, 1):
        reading = stored.pop(row.what, None)
        if reading is None:
            fresh.append(_reading(sheet, row, position))
            added += 1
        elif reading.outcome == Outcome.OPEN:
            _refresh(reading, row, position)
    TestReading.objects.bulk_create(fresh)
    gone = [reading.pk for reading in stored.values() if reading.outcome == Outcome.OPEN]
    TestReading.objects.filter(pk__in=gone).delete()
    return added


def _reading(sheet: TestSheet, row: Expected, position: int) -> TestReading:
    return TestReading(
        sheet=sheet,
        circuit_id=row.circuit_id,
        position=position,
        check_name=row.check,
        what=row.what[:160],
        unit=row.unit,
        expected_low=_decimal(row.low),
        expected_high=_decimal(row.high),
        expected_from=row.source[:160],
    )


def _refresh(reading: TestReading, row: Expected, position: int) -> None:
    reading.position = position
    reading.expected_low, reading.expected_high = _decimal(row.low), _decimal(row.high)
    reading.expected_from = row.source[:160]
    reading.save(update_fields=["position", "expected_low", "expected_high", "expected_from"])


def _decimal(value: float | None) -> Decimal | None:
    return None if value is None else Decimal(str(value))


def judge(reading: TestReading, measured: Decimal) -> Outcome:
    """Pass when the measured value lies within the expected bounds, ends included."""
    if reading.expected_low is not None and measured < reading.expected_low:
        return Outcome.FAIL
    if reading.expected_high is not None and measured > reading.expected_high:
        return Outcome.FAIL
    return Outcome.PASS


@transaction.atomic
def enter(
    reading: TestReading,
    *,
    measured: Decimal | None,
    outcome: str,
    remark: str,
    by: User,
    at: datetime,
    version: int | None = None,
) -> TestReading:
    """Store a result. A measured value decides by itself; by eye, the tester says.

    Raises `StaleVersion` when the reading moved on since `version` was read.
    """
    job = reading.sheet.job
    label = f"Tested: {reading.what}"[:200]
    with tracked(actor=by, scope=job.scope, label=label, action="tests.enter") as change:
        change.watch(reading)
        reading.measured = measured
        reading.outcome = outcome if measured is None else judge(reading, measured)
        reading.remark = remark
        reading.tested_by = None if reading.outcome == Outcome.OPEN else by
        reading.tested_at = None if reading.outcome == Outcome.OPEN else at
        reading.save_if_version(reading.version if version is None else version, by=by)
    return reading


def progress(job: Job) -> dict[str, int]:
    """How many rows stand at each outcome."""
    counts = dict.fromkeys(Outcome.values, 0)
    for outcome in TestReading.objects.filter(sheet__job=job).values_list("outcome", flat=True):
        counts[outcome] += 1
    return counts
