"""Test sheets: what is measured on each circuit and system, and what is expected.

Expected values come from the computed design, so a reading outside them says that the vessel
is not as drawn. Tolerances for joints and meters are common practice, no source.
"""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from electrical.check import check
from electrical.core.results import CircuitResult
from electrical.listing import CircuitRow, Listing
from fitout.handover.expected import PRACTICE, Expected
from fitout.handover.models import Outcome, SheetKind, TestReading, TestSheet
from fitout.handover.systems import carried_by, systems_of
from fitout.jobs.models import Job, VesselKind
from fitout.kit.audit import record, tracked
from fitout.kit.models import User

JOINTS_OHM = 0.02
DROP_TOLERANCE = 1.10


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
    wanted = systems_of(carried_by(job))
    for place, title, rows in wanted:
        added += _fill(job, SheetKind.SYSTEM, title, rows, place)
    _clear_systems(job, {title for _, title, _ in wanted})
    title, rows = ("Sea trial", BOAT_TRIAL) if is_boat else ("Road test", ROAD_TEST)
    added += _fill(job, SheetKind.TRIAL, title, rows, 100)
    record(by, "generate", job, scope=job.scope, label=f"Test sheets made: {added} new rows")
    return added


def _clear_systems(job: Job, wanted: set[str]) -> None:
    """Sheets of systems the vessel no longer carries go; what was tested stays."""
    for sheet in job.test_sheets.filter(kind=SheetKind.SYSTEM).exclude(title__in=wanted):
        sheet.readings.filter(outcome=Outcome.OPEN).delete()
        if not sheet.readings.exists():
            sheet.delete()


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
