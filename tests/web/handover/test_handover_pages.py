"""Test sheets, register and packs as each role meets them."""

from collections.abc import Callable
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.test import Client
from django.urls import reverse

from fitout.handover.models import Outcome, Pack, RegisterItem, TestReading
from fitout.handover.registering import refresh
from fitout.handover.test_sheets import generate
from fitout.handover.views.sheets import grouped
from fitout.jobs import sheet
from fitout.jobs.models import Job
from fitout.kit.models import User
from tests.factories.jobs import make_job, make_part, zone_of

Queries = Callable[[Callable[[], object]], int]


@pytest.fixture
def job(owner: User) -> Job:
    """A tracked chart display, bought for 317.61, in trials."""
    job = make_job(owner)
    display = make_part(
        code="NA-PLOT",
        cost="317.61",
        description="Chart display",
        category="navigation",
        kind="data_device",
    )
    display.serial_tracked, display.warranty_months = True, 24
    display.save()
    sheet.add_part(job, zone_of(job, "HM"), display, by=owner)
    Job.objects.filter(pk=job.pk).update(stage="trials")
    job.refresh_from_db()
    return job


@pytest.fixture
def reading(job: Job, owner: User) -> TestReading:
    generate(job, by=owner)
    return TestReading.objects.get(what__contains="unpowered")  # 54 to 66 Ω


def url(name: str, *args: object) -> str:
    return reverse(f"handover:{name}", args=args)


def entry(reading: TestReading, **values: str) -> dict[str, str]:
    sent = {"version": str(reading.version), "outcome": "open", "remark": "", **values}
    return {f"r{reading.pk}-{name}": value for name, value in sent.items()}


def enter(client: Client, reading: TestReading, **values: str) -> tuple[int, str]:
    target = url("reading", reading.sheet.job.number, reading.pk)
    answer = client.post(target, entry(reading, **values))
    reading.refresh_from_db()
    return answer.status_code, answer.content.decode()


class TestRoles:
    def test_technician_enters_readings_and_sees_no_price(
        self, technician_client: Client, reading: TestReading, job: Job, technician: User
    ) -> None:
        status, _ = enter(technician_client, reading, measured="60,2")
        assert (status, reading.outcome, reading.measured) == (
            303,
            Outcome.PASS,
            Decimal("60.2"),
        )
        assert reading.tested_by == technician
        for page in (url("overview", job.number), url("sheet", job.number, reading.sheet.pk)):
            content = technician_client.get(page).content
            assert b"\xe2\x82\xac" not in content  # no euro sign
            assert b"317.61" not in content

    def test_technician_makes_neither_sheets_nor_packs(
        self, technician_client: Client, job: Job
    ) -> None:
        for name in ("make_sheets", "make_pack"):
            assert technician_client.post(url(name, job.number)).status_code == 403
        assert not Pack.objects.exists()

    def test_nothing_is_entered_after_handing_over(
        self, technician_client: Client, reading: TestReading, job: Job
    ) -> None:
        Job.objects.filter(pk=job.pk).update(stage="handed_over")
        assert enter(technician_client, reading, measured="60")[0] == 403


class TestReadings:
    def test_reading_out_of_bounds_fails(
        self, technician_client: Client, reading: TestReading
    ) -> None:
        enter(technician_client, reading, measured="120")
        assert reading.outcome == Outcome.FAIL

    @pytest.mark.parametrize("typed", ["sixty", "1000001", "1.23456"])
    def test_figure_that_cannot_be_is_refused_and_kept(
        self, technician_client: Client, reading: TestReading, typed: str
    ) -> None:
        status, page = enter(technician_client, reading, measured=typed)
        assert (status, reading.measured) == (422, None)
        assert "Measured: " in page
        assert f'value="{typed}"' in page

    def test_not_applicable_needs_a_remark(
        self, technician_client: Client, reading: TestReading
    ) -> None:
        status, page = enter(technician_client, reading, outcome="na")
        assert (status, reading.outcome) == (422, Outcome.OPEN)
        assert "Remark: say why the test does not apply." in page

    def test_reading_entered_meanwhile_shows_who_and_what(
        self, technician_client: Client, owner_client: Client, reading: TestReading, owner: User
    ) -> None:
        old = reading.version
        enter(owner_client, reading, measured="60")
        status, page = enter(technician_client, reading, version=str(old), measured="61")
        assert (status, reading.measured) == (409, Decimal(60))
        assert f"{owner} entered this meanwhile: pass, measured 60 Ω." in page
        assert 'value="61"' in page


class TestRegister:
    def test_serial_number_is_kept(self, technician_client: Client, job: Job, owner: User) -> None:
        refresh(job, by=owner)
        item = job.register.get()
        data = {"serial": "SN-77", "fitted_on": "2026-03-02", "version": str(item.version)}
        answer = technician_client.post(url("item", job.number, item.pk), data)
        item.refresh_from_db()
        assert (answer.status_code, item.serial) == (303, "SN-77")
        assert f"{item.warranty_until}" == "2028-03-02"

    def test_date_that_is_none_is_refused_and_the_rest_stays(
        self, technician_client: Client, job: Job, owner: User
    ) -> None:
        refresh(job, by=owner)
        item = job.register.get()
        data = {"serial": "SN-77", "fitted_on": "2026-02-30", "version": str(item.version)}
        answer = technician_client.post(url("item", job.number, item.pk), data)
        assert answer.status_code == 422
        assert "SN-77" in answer.content.decode()
        assert RegisterItem.objects.get(pk=item.pk).serial == ""


class TestPacks:
    def test_form_sent_twice_makes_one_pack(self, owner_client: Client, job: Job) -> None:
        for _ in range(2):
            answer = owner_client.post(url("make_pack", job.number), {"once": "key-1"})
            assert answer.status_code == 303
        assert Pack.objects.count() == 1

    def test_no_pack_before_the_build(self, owner_client: Client, job: Job) -> None:
        Job.objects.filter(pk=job.pk).update(stage="accepted")
        assert owner_client.post(url("make_pack", job.number)).status_code == 403

    def test_row_asks_again_while_the_pack_is_made(self, owner_client: Client, job: Job) -> None:
        owner_client.post(url("make_pack", job.number))
        pack = Pack.objects.get()
        row = owner_client.get(url("pack", job.number, pack.pk)).content.decode()
        assert "being made" in row
        assert 'hx-trigger="every 2s"' in row


def test_overview_asks_the_same_for_two_pieces_of_equipment_and_ten(
    owner_client: Client, job: Job, owner: User, queries_of: Queries
) -> None:
    page = url("overview", job.number)
    generate(job, by=owner)
    line = job.lines.get()

    def fit(pieces: int) -> None:
        sheet.edit(line, by=owner, version=line.version, quantity=Decimal(pieces))
        refresh(job, by=owner)
        assert job.register.count() == pieces

    fit(2)  # with one device there is no backbone to read
    owner_client.get(page)  # what is read once per process
    few = queries_of(lambda: owner_client.get(page))
    fit(10)
    assert queries_of(lambda: owner_client.get(page)) == few


def test_rows_of_a_circuit_stand_under_its_name() -> None:
    told = [("C04 Deck flood", "open"), ("C04 Deck flood", "pass"), ("C05 Horn", "pass")]
    rows = [{"reading": SimpleNamespace(circuit=name, outcome=outcome)} for name, outcome in told]
    groups = [(group["name"], len(group["rows"]), group["open"]) for group in grouped(rows)]
    assert groups == [("C04 Deck flood", 2, 1), ("C05 Horn", 1, 0)]


def test_a_systems_sheet_is_one_group_without_a_head(
    owner_client: Client, reading: TestReading, job: Job
) -> None:
    page = owner_client.get(url("sheet", job.number, reading.sheet.pk)).content.decode()
    assert page.count("<tbody") == 1
    assert "zone-head" not in page
