"""Readings judged against what was computed; warranty dates; what a pack holds back for."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import partial

import pytest

from catalogue.models.electrical_data import LoadData
from electrical.check import check
from electrical.core.findings import Finding, Severity, Subject, SubjectKind
from electrical.core.status import NO_SOURCE
from fitout.handover.models import Outcome, RegisterItem, TestReading, TestSheet
from fitout.handover.models.register import months_after
from fitout.handover.packing import CannotPack, ask_for, open_points, sources_of
from fitout.handover.registering import refresh
from fitout.handover.test_sheets import enter, generate, judge
from fitout.jobs import sheet
from fitout.jobs.models import Job
from fitout.kit.models import User
from tests.factories.jobs import make_job, make_part, zone_of
from tests.factories.orders import NOW


@pytest.mark.parametrize(
    ("start", "months", "end"),
    [
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2027, 12, 15), 2, date(2028, 2, 15)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2024, 2, 29), 48, date(2028, 2, 29)),
        (date(2026, 5, 4), 0, date(2026, 5, 4)),
    ],
)
def test_warranty_runs_by_calendar_months(start: date, months: int, end: date) -> None:
    assert months_after(start, months) == end


@pytest.mark.parametrize(
    ("low", "high", "measured", "outcome"),
    [
        ("54", "66", "60", Outcome.PASS),
        ("54", "66", "54", Outcome.PASS),
        ("54", "66", "53.9", Outcome.FAIL),
        (None, "0.035", "0.036", Outcome.FAIL),
        ("10", None, "9.99", Outcome.FAIL),
        ("10", None, "10000", Outcome.PASS),
    ],
)
def test_reading_passes_within_its_bounds_ends_included(
    low: str | None, high: str | None, measured: str, outcome: str
) -> None:
    reading = TestReading(
        expected_low=None if low is None else Decimal(low),
        expected_high=None if high is None else Decimal(high),
    )
    assert judge(reading, Decimal(measured)) == outcome


@pytest.fixture
def job(owner: User) -> Job:
    job = make_job(owner)
    plotter = make_part(
        code="NA-PLOT", description="Chart display", category="navigation", kind="data_device"
    )
    plotter.serial_tracked, plotter.warranty_months = True, 24
    plotter.save()
    details = sheet.Details(quantity=Decimal(2))
    sheet.add_part(job, zone_of(job, "HM"), plotter, by=owner, details=details)
    Job.objects.filter(pk=job.pk).update(stage="trials")
    job.refresh_from_db()
    return job


class TestSheets:
    def test_sheets_follow_what_is_fitted(self, job: Job, owner: User) -> None:
        generate(job, by=owner)
        titles = set(TestSheet.objects.filter(job=job).values_list("title", flat=True))
        assert titles == {"Circuits", "Data backbone and electronics", "Sea trial"}

    def test_backbone_is_expected_near_sixty_ohm(self, job: Job, owner: User) -> None:
        generate(job, by=owner)
        reading = TestReading.objects.get(what__contains="unpowered")
        assert reading.expected_words == "54 to 66 Ω"

    def test_made_again_keeps_what_was_tested(self, job: Job, owner: User) -> None:
        generate(job, by=owner)
        reading = TestReading.objects.get(what__contains="unpowered")
        enter(reading, measured=Decimal("60.2"), outcome="open", remark="", by=owner, at=NOW)
        assert generate(job, by=owner) == 0
        reading.refresh_from_db()
        assert (reading.outcome, reading.measured, reading.tested_by) == (
            Outcome.PASS,
            Decimal("60.2"),
            owner,
        )


def fit_load(job: Job, owner: User, name: str, function: str, nature: str, **part: str) -> None:
    made = make_part(code=name.upper(), description=name, kind="load", **part)
    LoadData.objects.create(
        part=made,
        nominal_v=Decimal(12),
        current_a=Decimal(5),
        function=function,
        nature=nature,
    )
    sheet.add_part(job, zone_of(job, "HM"), made, by=owner)


def titles(job: Job) -> set[str]:
    return set(job.test_sheets.values_list("title", flat=True))


class TestSystems:
    def test_a_heated_seat_is_no_refrigerator(self, job: Job, owner: User) -> None:
        fit_load(job, owner, "pad", "heating", "resistive", category="refrigeration")
        fit_load(job, owner, "seat", "heating", "mix", category="refrigeration")
        generate(job, by=owner)
        assert "Refrigeration and heating" not in titles(job)
        fit_load(job, owner, "fridge", "heating", "motor", category="refrigeration")
        generate(job, by=owner)
        assert "Refrigeration and heating" in titles(job)

    def test_water_pumps_alone_ask_for_no_bilge_test(self, job: Job, owner: User) -> None:
        fit_load(job, owner, "fresh", "pump", "motor", category="pumps")
        generate(job, by=owner)
        rows = TestReading.objects.filter(sheet__job=job, sheet__title="Bilge and pumps")
        [row] = rows
        assert row.what.startswith("Water system filled")
        fit_load(job, owner, "bilge", "bilge_pump", "motor", category="pumps")
        generate(job, by=owner)
        assert rows.filter(what__startswith="Each bilge pump").count() == 2

    def test_a_sheet_of_what_is_no_longer_carried_goes_unless_it_was_tested(
        self, job: Job, owner: User
    ) -> None:
        for title in ("Radio", "Steering"):
            made = TestSheet.objects.create(job=job, title=title, kind="system", position=9)
            TestReading.objects.create(sheet=made, position=1, what="A test", expected_from="")
        tested = TestReading.objects.get(sheet__title="Steering")
        enter(tested, measured=None, outcome="pass", remark="", by=owner, at=NOW)
        generate(job, by=owner)
        assert "Radio" not in titles(job)
        assert "Steering" in titles(job)


class TestRegister:
    def test_each_piece_has_its_own_row(self, job: Job, owner: User) -> None:
        assert refresh(job, by=owner) == 2
        assert RegisterItem.objects.filter(job=job, part_code="NA-PLOT").count() == 2

    def test_brought_up_to_date_keeps_serial_numbers(self, job: Job, owner: User) -> None:
        refresh(job, by=owner)
        RegisterItem.objects.filter(job=job, ordinal=1).update(serial="SN-77")
        assert refresh(job, by=owner) == 0
        assert RegisterItem.objects.get(job=job, ordinal=1).serial == "SN-77"


class TestPack:
    def test_open_tests_speak_against_handing_over(self, job: Job, owner: User) -> None:
        generate(job, by=owner)
        points = open_points(job, check(job))
        count = TestReading.objects.filter(sheet__job=job).count()
        assert f"{count} tests not done yet." in points

    def test_a_serial_number_to_be_entered_is_an_open_point(self, job: Job, owner: User) -> None:
        assert "There is no register of equipment yet." in open_points(job, check(job))
        refresh(job, by=owner)
        RegisterItem.objects.filter(job=job, ordinal=1).update(serial="SN-77")
        points = open_points(job, check(job))
        word = "Serial number of Chart display, Helm: to be entered."
        assert points.count(word) == 1
        RegisterItem.objects.filter(job=job).update(serial="SN-78")
        assert word not in open_points(job, check(job))

    def test_each_stop_is_named_once_and_each_source_says_where_it_is_used(self, job: Job) -> None:
        checked = check(job)
        named = Subject(kind=SubjectKind.CIRCUIT, id="7", label="C07")
        stop = partial(
            Finding, rule_id="x", title="X", severity=Severity.STOP, subject=named, clause=NO_SOURCE
        )
        own = stop(message="C07 carries too much."), stop(message="Too hot.")
        points = open_points(job, replace(checked, own=own))
        assert {"C07 carries too much.", "C07: Too hot."} <= set(points)
        assert checked.result is not None
        used = {(f.clause.source, f.clause.status.value, f.title) for f in checked.result.checks}
        listed = {
            (one.source, one.status, title)
            for one in sources_of(checked)
            for title in one.checks.split("; ")
        }
        assert listed == used

    def test_one_pack_is_made_at_a_time(self, job: Job, owner: User) -> None:
        ask_for(job, by=owner, at=NOW)
        with pytest.raises(CannotPack, match="is being made"):
            ask_for(job, by=owner, at=NOW)

    def test_job_is_not_handed_over_without_a_finished_pack(self, job: Job, owner: User) -> None:
        with pytest.raises(Exception, match="make the handover pack first"):
            job.move_to("handed_over", by=owner, now=NOW)
