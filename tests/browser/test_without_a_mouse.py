"""Sign in, find the job, change a quantity and take it back, with the keyboard alone."""

import re

import pytest
from playwright.sync_api import Page, expect

from fitout.jobs.models import Job
from fitout.kit.models import Role, User
from tests.factories.jobs import make_part
from tests.factories.orders import buying_job
from tests.factories.people import PASSWORD, make_user
from tests.fixtures.browser import Site

pytestmark = [pytest.mark.browser, pytest.mark.django_db]

MOST_TABS = 40


@pytest.fixture
def estimator(site: Site) -> User:
    return make_user(role=Role.ESTIMATOR, username="tiago")


@pytest.fixture
def job(estimator: User) -> Job:
    return buying_job(estimator, (make_part(code="PU-63", description="Bilge pump"), "2"))


def tab_to(page: Page, selector: str) -> None:
    for _ in range(MOST_TABS):
        if page.evaluate("s => document.activeElement.matches(s)", selector):
            return
        page.keyboard.press("Tab")
    pytest.fail(f"{selector} is not within {MOST_TABS} presses of Tab")


def focus_is_seen(page: Page) -> bool:
    """Whether what is in hand has an outline or a border that says so."""
    script = "() => getComputedStyle(document.activeElement).outlineStyle"
    return page.evaluate(script) != "none"


def test_quantity_is_changed_and_taken_back(page: Page, site: Site, job: Job) -> None:
    page.goto(site + "/sign-in/")
    tab_to(page, "input[name=username]")
    page.keyboard.type("tiago")
    tab_to(page, "input[name=password]")
    page.keyboard.type(PASSWORD)
    page.keyboard.press("Enter")
    page.wait_for_url(lambda url: "/sign-in/" not in url)

    page.keyboard.press("/")
    expect(page.get_by_role("searchbox")).to_be_focused()
    page.keyboard.type(job.code)
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name=re.compile("^Found for"))).to_be_visible()
    tab_to(page, f"#found a[href='/jobs/{job.number}/']")
    assert focus_is_seen(page)
    page.keyboard.press("Enter")
    expect(page.locator("#lines")).to_be_visible()
    page.wait_for_load_state()

    page.keyboard.press("ArrowDown")
    expect(page.locator("tr.hand")).to_contain_text("Bilge pump")
    page.keyboard.press("Enter")
    quantity = page.get_by_label(re.compile("^Quantity"))
    expect(quantity).to_be_focused()
    page.keyboard.type("5")
    page.keyboard.press("Enter")
    row = page.locator("tr[data-line]", has_text="Bilge pump")
    expect(row.locator(".qty")).to_have_text("5")

    page.keyboard.press("u")
    expect(row.locator(".qty")).to_have_text("2")
    assert job.lines.get().quantity == 2


def test_a_line_is_saved_on_a_page_of_its_own_and_moved_in_the_sheet(
    page: Page, site: Site, job: Job
) -> None:
    line = job.lines.get()
    other = job.vessel.zones.exclude(pk=line.zone_id)[0]
    site.sign_in(page, "tiago", PASSWORD)
    page.goto(site + f"/jobs/{job.number}/lines/{line.pk}/")
    page.get_by_label(re.compile("^Quantity")).fill("7")
    page.keyboard.press("Enter")
    row = page.locator("tr[data-line]", has_text="Bilge pump")
    expect(row.locator(".qty")).to_have_text("7")

    tab_to(page, f"#line-{line.pk} [data-act=edit]")
    page.keyboard.press("Enter")
    expect(page.locator("#lines [name=quantity]")).to_be_focused()  # the row has opened whole
    zone = page.locator("#lines select[name=zone]")
    page.get_by_role("button", name="Move to zone").press("Enter")
    expect(zone).to_be_focused()
    expect(page.get_by_text("Zone: choose the zone to move to.")).to_be_visible()
    zone.select_option(str(other.pk))
    page.get_by_role("button", name="Move to zone").press("Enter")
    expect(row.locator("[data-act=edit]")).to_be_focused()
    assert job.lines.get().zone == other
