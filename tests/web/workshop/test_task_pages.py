"""Tasks in the office, work on a phone, snags: who may do what, and what is refused."""

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from bs4 import BeautifulSoup
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from catalogue.models import Part
from catalogue.models.labour import Phase
from fitout.jobs import sheet
from fitout.jobs.models import Job
from fitout.kit.models import Role, User
from fitout.workshop.booked_days import LATEST, booked_days
from fitout.workshop.demo import drawn_photo
from fitout.workshop.generating import generate
from fitout.workshop.models import BookedTime, Snag, Task, TaskStatus, WorkOrder
from fitout.workshop.snags import raise_snag
from tests.factories.building import give_trade
from tests.factories.jobs import make_job, make_operation, make_part, make_trade, zone_of
from tests.factories.people import make_user

Queries = Callable[[Callable[[], object]], int]


@pytest.fixture
def job(owner: User) -> Job:
    """A lamp to pick and 3 h of second fix at the helm, in build."""
    job = make_job(owner)
    work = make_operation(standard_h="3", trade=make_trade())
    work.phase = Phase.SECOND_FIX
    work.save()
    sheet.add_labour(job, zone_of(job, "HM"), work, by=owner)
    lamp = make_part(code="LI-40", cost="317.61", description="Deck flood, 40 W")
    sheet.add_part(job, zone_of(job, "HM"), lamp, by=owner)
    Job.objects.filter(pk=job.pk).update(stage="in_build")
    job.refresh_from_db()
    return job


@pytest.fixture
def task(job: Job, owner: User, technician: User) -> Task:
    generate(job, by=owner)
    task = job.tasks.get()
    task.assigned_to = technician
    task.save()
    return task


def url(name: str, *args: object) -> str:
    return reverse(f"workshop:{name}", args=args)


class TestRoles:
    def test_technician_sees_own_task_without_any_price(
        self, technician_client: Client, task: Task, job: Job
    ) -> None:
        for page in (url("work"), url("task", task.pk), url("tasks", job.number)):
            content = technician_client.get(page).content
            assert task.title.encode() in content
            assert b"\xe2\x82\xac" not in content  # no euro sign
            assert b"317.61" not in content

    def test_no_time_is_said_in_words(
        self, technician_client: Client, task: Task, job: Job
    ) -> None:
        Task.objects.filter(pk=task.pk).update(planned_h=0)
        for page in (url("work"), url("task", task.pk), url("tasks", job.number)):
            assert "no time planned" in technician_client.get(page).content.decode()

    def test_technician_finds_no_task_of_another(
        self, technician_client: Client, task: Task
    ) -> None:
        task.assigned_to = make_user(role=Role.TECHNICIAN)
        task.save()
        assert technician_client.get(url("task", task.pk)).status_code == 404
        assert technician_client.post(url("start", task.pk)).status_code == 404

    def test_technician_neither_plans_nor_puts_time_right(
        self, technician_client: Client, task: Task, job: Job
    ) -> None:
        technician_client.post(url("start", task.pk))
        run = BookedTime.objects.get()
        for target in (
            url("generate", job.number),
            url("plan", job.number),
            url("issue", job.number),
            url("edit_task", job.number, task.pk),
            url("time", job.number, run.pk),
        ):
            assert technician_client.post(target).status_code == 403

    def test_no_tasks_are_made_before_acceptance(self, owner_client: Client, job: Job) -> None:
        Job.objects.filter(pk=job.pk).update(stage="quoted")
        assert owner_client.post(url("generate", job.number)).status_code == 403
        assert not job.tasks.exists()


class TestPhone:
    def test_part_that_is_not_here_is_not_picked(
        self, technician_client: Client, task: Task
    ) -> None:
        part = Part.objects.get(code="LI-40")
        answer = technician_client.post(url("pick", task.pk, part.pk))
        assert answer.status_code == 422
        assert "LI-40 is not here yet." in answer.content.decode()

    def test_done_asks_once_more_while_something_is_not_ticked(
        self, technician_client: Client, task: Task
    ) -> None:
        technician_client.post(url("start", task.pk))
        answer = technician_client.post(url("done", task.pk))
        page = answer.content.decode()
        task.refresh_from_db()
        assert (answer.status_code, task.status) == (422, TaskStatus.STARTED)
        assert "1 part or circuit not ticked. Press done again if it is so." in page
        assert technician_client.post(url("done", task.pk), {"sure": "yes"}).status_code == 303
        task.refresh_from_db()
        assert task.status == TaskStatus.DONE

    def test_a_number_on_the_pick_list_keeps_its_unit(
        self, technician_client: Client, task: Task
    ) -> None:
        page = technician_client.get(url("task", task.pk)).content.decode()
        picks = page[page.index('id="picks"') :]
        assert "Deck flood, 40\N{NO-BREAK SPACE}W" in picks

    def test_the_caution_stands_before_what_is_to_be_touched(
        self, technician_client: Client, task: Task
    ) -> None:
        page = technician_client.get(url("task", task.pk)).content.decode()
        assert page.index("Isolate and check dead") < page.index(
            "Deck flood, 40\N{NO-BREAK SPACE}W"
        )

    def test_hold_needs_a_reason(self, technician_client: Client, task: Task) -> None:
        answer = technician_client.post(url("hold", task.pk), {"reason": " "})
        assert answer.status_code == 422
        assert "What holds it up" in answer.content.decode()
        task.refresh_from_db()
        assert task.status == TaskStatus.TO_DO

    def test_photo_that_is_none_is_refused_and_the_words_stay(
        self, technician_client: Client, task: Task
    ) -> None:
        fake = SimpleUploadedFile("dash.jpg", b"not a picture", content_type="image/jpeg")
        data = {"title": "Grommet missing", "photo": fake}
        answer = technician_client.post(url("raise", task.pk), data)
        page = answer.content.decode()
        assert answer.status_code == 422
        assert "this is not a photo that can be read" in page
        assert "Grommet missing" in page
        assert not Snag.objects.exists()

    def test_a_photo_whose_file_is_gone_is_told_plainly(
        self,
        technician_client: Client,
        job: Job,
        owner: User,
        now: datetime,
        caplog: pytest.LogCaptureFixture,
    ) -> None:
        photo = drawn_photo("Chafe")
        snag = raise_snag(
            job, title="Chafe", description="", zone=None, photo=photo, by=owner, at=now
        )
        page = url("photo", job.number, snag.pk)
        assert technician_client.get(page).status_code == 200
        snag.photo.storage.delete(str(snag.photo.name))
        answer = technician_client.get(page)
        assert answer.status_code == 404
        assert "The photo of “Chafe” is no longer where photos are kept." in answer.content.decode()
        assert f"photo of snag {snag.pk}" in caplog.text

    def test_clock_started_twice_with_one_form_runs_once(
        self, technician_client: Client, task: Task
    ) -> None:
        for _ in range(2):
            answer = technician_client.post(url("start", task.pk), {"once": "key-1"})
            assert answer.status_code == 303
        assert BookedTime.objects.count() == 1

    def test_a_standing_clock_shows_what_is_booked_already(
        self, technician_client: Client, technician: User, owner: User, task: Task, now: datetime
    ) -> None:
        for who, hours in ((technician, 1), (owner, 2)):
            started_at = now - timedelta(hours=9)
            stopped_at = started_at + timedelta(hours=hours, minutes=3)
            BookedTime.objects.create(
                task=task, user=who, started_at=started_at, stopped_at=stopped_at
            )
        words = technician_client.get(url("task", task.pk)).content.decode()
        assert "Clock stands, booked</small><b>3:06</b><span>of 3 h" in words

    def test_snag_sent_twice_is_raised_once(self, technician_client: Client, task: Task) -> None:
        for _ in range(2):
            technician_client.post(url("raise", task.pk), {"title": "Scratch", "once": "key-1"})
        assert Snag.objects.count() == 1


class TestOffice:
    def test_work_order_for_nobody_is_refused(self, owner_client: Client, task: Task) -> None:
        answer = owner_client.post(url("issue", task.job.number), {"technician": "999999"})
        assert answer.status_code == 422
        assert "Work order for" in answer.content.decode()
        assert not WorkOrder.objects.exists()

    def test_phases_with_work_left_are_the_ones_a_phone_opens(
        self, owner_client: Client, task: Task, job: Job
    ) -> None:
        def opened() -> list[bool]:
            page = BeautifulSoup(owner_client.get(url("tasks", job.number)).content, "html.parser")
            groups = page.select("table[data-groups] > tbody")
            assert all(group.select(".zone-head button") for group in groups)
            return [group.has_attr("data-open") for group in groups]

        assert opened() == [True]
        Task.objects.filter(pk=task.pk).update(status=TaskStatus.DONE)
        assert opened() == [False]

    def test_task_due_before_it_starts_is_refused_and_kept(
        self, owner_client: Client, task: Task
    ) -> None:
        data = {
            "title": "Fit the lamps",
            "phase": "second_fix",
            "planned_h": "3",
            "start_on": "2026-05-04",
            "due_on": "2026-05-01",
            "version": str(task.version),
        }
        answer = owner_client.post(url("edit_task", task.job.number, task.pk), data)
        page = answer.content.decode()
        assert answer.status_code == 422
        assert "Due: not before the start, 4 May 2026." in page
        assert "Fit the lamps" in page

    def test_task_somebody_else_changed_shows_both(
        self, owner_client: Client, task: Task, owner: User
    ) -> None:
        old = task.version
        task.planned_h = 7
        task.save_if_version(task.version, by=owner)
        data = {"title": "Mine", "phase": "second_fix", "planned_h": "3", "version": str(old)}
        answer = owner_client.post(url("edit_task", task.job.number, task.pk), data)
        page = answer.content.decode()
        assert answer.status_code == 409
        assert "stored now is “7" in page
        assert 'value="Mine"' in page
        task.refresh_from_db()
        assert task.planned_h == 7

    def test_snag_is_closed_by_the_office_and_stays_closed(
        self, owner_client: Client, technician_client: Client, task: Task
    ) -> None:
        technician_client.post(url("raise", task.pk), {"title": "Scratch"})
        snag = Snag.objects.get()
        close = url("close_snag", task.job.number, snag.pk)
        data = {"status": "put_right", "note": "polished"}
        assert owner_client.post(close, data).status_code == 303
        assert owner_client.post(close, data).status_code == 422


class TestQueries:
    def test_tasks_page_asks_the_same_for_one_task_and_ten(
        self, owner_client: Client, task: Task, queries_of: Queries
    ) -> None:
        page = url("tasks", task.job.number)
        owner_client.get(page)  # what is read once per process
        few = queries_of(lambda: owner_client.get(page))
        more_tasks(task, 9)
        assert queries_of(lambda: owner_client.get(page)) == few

    def test_my_work_asks_the_same_for_one_task_and_ten(
        self, technician_client: Client, task: Task, queries_of: Queries
    ) -> None:
        few = queries_of(lambda: technician_client.get(url("work")))
        more_tasks(task, 9)
        assert queries_of(lambda: technician_client.get(url("work"))) == few

    def test_snags_page_asks_the_same_for_one_snag_and_ten(
        self, technician_client: Client, task: Task, queries_of: Queries
    ) -> None:
        page = url("snags", task.job.number)
        technician_client.post(url("raise", task.pk), {"title": "Scratch 0"})
        few = queries_of(lambda: technician_client.get(page))
        for number in range(1, 10):
            technician_client.post(url("raise", task.pk), {"title": f"Scratch {number}"})
        assert queries_of(lambda: technician_client.get(page)) == few


def more_tasks(task: Task, count: int) -> None:
    for number in range(count):
        Task.objects.create(
            job=task.job,
            zone=task.zone,
            trade=task.trade,
            phase=task.phase,
            title=f"Further task {number}",
            position=10 + number,
            planned_h=1,
            assigned_to=task.assigned_to,
        )


def test_trades_of_a_person_are_kept(owner_client: Client, technician: User) -> None:
    trade = make_trade()
    give_trade(technician, "electrical")
    page = url("skills", technician.pk)
    assert owner_client.post(page, {"once": "key-1"}).status_code == 303
    assert not technician.skills.exists()
    owner_client.post(page, {"trades": [trade.pk]})
    assert technician.skills.get().trade == trade


class TestBookedTime:
    def test_stands_by_the_day_it_began(
        self, owner_client: Client, task: Task, job: Job, technician: User, now: datetime
    ) -> None:
        for days, hours in ((0, 2), (0, 1), (3, 4)):
            start = now - timedelta(days=days, hours=hours)
            stop = start + timedelta(hours=hours)
            BookedTime.objects.create(task=task, user=technician, started_at=start, stopped_at=stop)
        answer = owner_client.get(url("tasks", job.number))
        soup = BeautifulSoup(answer.content, "html.parser")
        [table] = soup.select("section[aria-labelledby=time-head] table[data-groups]")
        heads = [row.get_text(" ", strip=True) for row in table.select("tr.zone-head")]
        assert [len(body.select("tr:not(.zone-head)")) for body in table.select("tbody")] == [2, 1]
        assert "2 times booked" in heads[0]
        assert heads[0].endswith("3.00")
        assert heads[1].endswith("4.00")

    def test_no_day_is_cut_short(
        self, task: Task, job: Job, technician: User, now: datetime
    ) -> None:
        starts = [now - timedelta(days=n // 7, minutes=10 * (n % 7)) for n in range(LATEST + 7)]
        for start in starts:
            stop = start + timedelta(minutes=10)
            BookedTime.objects.create(task=task, user=technician, started_at=start, stopped_at=stop)
        days = booked_days(job)
        assert [len(day.runs) for day in days] == [7] * 5
        assert LATEST < 5 * 7 < len(starts)
