"""The handover pack of a small vessel: tested, registered, made, and read as a PDF."""

import re

import pytest
from playwright.sync_api import Page, expect

from electrical.check import check
from electrical.listing import Listing
from fitout.handover.models import PackStatus, TestReading
from fitout.jobs.models import Job
from fitout.kit.models import Role, User
from tests.browser.reading import assert_accessible, pdf_behind, plain
from tests.factories.building import make_building
from tests.factories.people import PASSWORD, make_user
from tests.fixtures.browser import Site

pytestmark = [pytest.mark.browser, pytest.mark.django_db]


@pytest.fixture
def owner(site: Site) -> User:
    return make_user(role=Role.OWNER, display_name="Maren Oake")


@pytest.fixture
def job(owner: User) -> Job:
    return make_building(owner)


@pytest.fixture
def handover(page: Page, site: Site, job: Job, owner: User) -> Page:
    site.sign_in(page, owner.username, PASSWORD)
    page.goto(site + f"/jobs/{job.number}/handover/")
    return page


def test_pack_holds_schematic_circuits_and_fuses(handover: Page, job: Job) -> None:
    make_and_fill_a_test_sheet(handover, job)
    register_the_equipment(handover)
    handover.get_by_role("button", name="Make the handover pack").click()
    pack = job.packs.get()
    assert pack.status == PackStatus.READY, pack.trouble
    row = handover.locator(f"#pack-{pack.pk}")
    expect(row).to_contain_text(pack.number)
    expect(row).to_contain_text("draft with")  # tests are still open
    assert_accessible(handover)

    text = pdf_behind(row.get_by_role("link", name="Open the PDF"))
    assert f"Handover pack {pack.number}" in text
    for heading in ("Cautions", "Circuit list", "Register", "Test results", "Maintenance"):
        assert heading in text
    assert "Single-line diagram" in text
    assert "Draft: do not hand over with this pack" in text
    assert "SN-CB-1" in text
    every_circuit_stands_in(text, job)


def make_and_fill_a_test_sheet(page: Page, job: Job) -> None:
    page.get_by_role("button", name="Make test sheets").click()
    expect(page.locator("#messages")).to_contain_text("Test sheets follow the circuits")
    assert_accessible(page)
    page.get_by_role("link", name="Circuits", exact=True).click()
    reading = TestReading.objects.filter(sheet__job=job, what__contains="label at both ends")[0]
    row = page.locator(f"#r{reading.pk}")
    row.get_by_label("Outcome").select_option(label="Pass")
    row.get_by_role("button", name="Enter").click()
    expect(page.locator(f"#r{reading.pk} td").last).to_contain_text("Maren Oake")
    measured = TestReading.objects.filter(sheet__job=job, what__contains="loop resistance")[0]
    row = page.locator(f"#r{measured.pk}")
    row.get_by_label("Measured").fill("99")
    row.get_by_role("button", name="Enter").click()
    expect(page.locator(f"#r{measured.pk}")).to_contain_text("Fail")
    assert_accessible(page)
    page.get_by_role("link", name=re.compile("^Handover of")).click()


def register_the_equipment(page: Page) -> None:
    page.get_by_role("button", name="Follow the build sheet").click()
    page.locator("#equipment").get_by_role("link", name="House battery").click()
    assert_accessible(page)
    page.get_by_label("Serial").fill("SN-CB-1")
    page.get_by_role("button", name="Save equipment").click()
    expect(page.locator("#equipment")).to_contain_text("SN-CB-1")


def every_circuit_stands_in(text: str, job: Job) -> None:
    rows = Listing(checked=check(job), numbers={}).rows
    assert len(rows) >= 3
    for row in rows:
        assert row.circuit.label in text
        assert row.circuit.name in text
    fuses = {row.fuse for row in rows if row.fuse}
    assert fuses
    for fuse in fuses:
        assert plain(fuse) in text
