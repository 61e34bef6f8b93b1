"""Tasks made, planned and given out in the office; one done on a phone in the shed."""

import io
import re
from datetime import date

import pytest
from django.utils import timezone
from PIL import Image
from playwright.sync_api import Page, ViewportSize, expect

from fitout.jobs.models import Job
from fitout.kit.models import Role, User
from fitout.workshop.models import BookedTime, MadeCircuit, Snag, Task, TaskStatus
from tests.browser.reading import assert_accessible, pdf_behind
from tests.factories.building import give_trade, make_building
from tests.factories.people import PASSWORD, make_user
from tests.fixtures.browser import Site

pytestmark = [pytest.mark.browser, pytest.mark.django_db]

TASK = "Electrical second fix: Helm"
PHONE: ViewportSize = {"width": 390, "height": 844}


@pytest.fixture
def owner(site: Site) -> User:
    return make_user(role=Role.OWNER, display_name="Maren Oake")


@pytest.fixture
def job(owner: User) -> Job:
    return make_building(owner)


@pytest.fixture
def technician(job: Job) -> User:
    user = make_user(role=Role.TECHNICIAN, display_name="Inês Marrow")
    give_trade(user, "electrical", hours_per_day="24")
    return user


def photo() -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (640, 480), (90, 120, 130)).save(file, "JPEG")
    return file.getvalue()


def test_task_goes_from_the_office_to_the_phone_and_back(
    page: Page, site: Site, job: Job, owner: User, technician: User
) -> None:
    give_out_the_work(page, site, job, owner)
    page.get_by_role("link", name="Sign out").or_(
        page.get_by_role("button", name="Sign out")
    ).first.click()

    page.set_viewport_size(PHONE)
    site.sign_in(page, technician.username, PASSWORD)
    expect(page).to_have_url(re.compile("/work/$"))
    assert_accessible(page)
    page.get_by_role("link", name=re.compile(TASK)).click()
    expect(page.get_by_role("heading", level=1)).to_have_text(TASK)
    assert_accessible(page)
    assert "€" not in page.content()

    tick_parts_and_circuits(page)
    run_the_clock(page)
    raise_a_snag(page)
    page.get_by_role("button", name="Task is done").click()
    expect(page).to_have_url(re.compile("/work/$"))
    expect(page.locator("#messages")).to_contain_text("is done")
    assert_accessible(page)
    check_what_is_on_record(job, technician)


def give_out_the_work(page: Page, site: Site, job: Job, owner: User) -> None:
    site.sign_in(page, owner.username, PASSWORD)
    page.goto(site + f"/jobs/{job.number}/tasks/")
    page.get_by_role("button", name="Make tasks from the build sheet").click()
    expect(page.get_by_role("row", name=re.compile(f"^{TASK}"))).to_contain_text("3.0")
    page.get_by_role("button", name="Plan who and when").click()
    expect(page.get_by_role("row", name=re.compile(f"^{TASK}"))).to_contain_text("Inês Marrow")
    page.get_by_label("Work order for").select_option(label="Inês Marrow")
    page.get_by_role("button", name="Issue work order").click()
    expect(page.locator("#messages")).to_contain_text("WO-00001 issued to Inês Marrow.")
    assert_accessible(page)
    text = pdf_behind(page.get_by_role("link", name="WO-00001"))
    for words in ("WO-00001", TASK, "Inês Marrow", "Cabin light", "Chart light", "Isolate"):
        assert words in text
    assert "€" not in text


def tick_parts_and_circuits(page: Page) -> None:
    for name in ("picks", "circuits"):
        boxes = page.locator(f"#{name} li button")
        assert boxes.count() >= 2
        for place in range(boxes.count()):
            boxes.nth(place).click()
            expect(page.locator(f"#{name} li button").nth(place)).to_have_attribute(
                "aria-pressed", "true"
            )
            expect(page.locator(f"#{name} li button").nth(place)).to_be_focused()
    circuits = page.locator("#circuits")
    expect(circuits).to_contain_text(re.compile(r"C\d\d"))
    expect(circuits).to_contain_text("mm²")
    expect(circuits).to_contain_text(re.compile(r"\d\sA"))


def run_the_clock(page: Page) -> None:
    page.get_by_role("button", name="Start").click()
    expect(page.get_by_role("timer")).to_contain_text("On the clock")
    page.get_by_role("button", name="Stop").click()
    expect(page.get_by_role("timer")).to_contain_text("Clock stands")


def raise_a_snag(page: Page) -> None:
    page.get_by_role("button", name="Snag").click()
    sheet = page.get_by_role("dialog", name="What is wrong?")
    expect(sheet).to_be_visible()
    expect(sheet.get_by_label(re.compile("^What is wrong"))).to_be_focused()
    assert_accessible(page)
    sheet.get_by_role("button", name="Raise snag").click()
    expect(sheet).to_be_visible()  # nothing was written, so nothing was raised
    sheet.get_by_label(re.compile("^What is wrong")).fill("Grommet missing in the dash")
    sheet.get_by_label("Photo").set_input_files(
        {"name": "dash.jpg", "mimeType": "image/jpeg", "buffer": photo()}
    )
    sheet.get_by_role("button", name="Raise snag").click()
    expect(page.locator("#messages")).to_contain_text("Snag raised.")
    expect(page.get_by_role("link", name=re.compile("Grommet missing"))).to_be_visible()


def check_what_is_on_record(job: Job, technician: User) -> None:
    task = Task.objects.get(job=job, title=TASK)
    assert task.done_at is not None
    assert (task.status, task.done_at.date()) == (TaskStatus.DONE, _today())
    assert MadeCircuit.objects.filter(task=task, made_by=technician).count() >= 2
    assert BookedTime.objects.get(task=task, user=technician).stopped_at is not None
    snag = Snag.objects.get(job=job)
    assert (snag.title, snag.task, snag.raised_by) == (
        "Grommet missing in the dash",
        task,
        technician,
    )
    with snag.photo.open("rb") as file:
        assert Image.open(file).size == (640, 480)


def _today() -> date:
    return timezone.localdate()
