"""Parts followed from needed to received, in the browser: drafted, sent, short, complete."""

import re

import pytest
from playwright.sync_api import Page, expect

from catalogue.models import Part
from fitout.jobs.models import Job
from fitout.kit.models import Role, User
from fitout.purchasing.models import SerialNumber
from tests.browser.reading import assert_accessible, pdf_behind
from tests.factories.jobs import make_offer, make_part, make_supplier
from tests.factories.orders import buying_job
from tests.factories.people import PASSWORD, make_user
from tests.fixtures.browser import Site

pytestmark = [pytest.mark.browser, pytest.mark.django_db]


@pytest.fixture
def buyer(site: Site) -> User:
    return make_user(role=Role.ESTIMATOR, display_name="Tiago Vell")


@pytest.fixture
def job(buyer: User) -> Job:
    """Three pumps at €42.50 and two displays at €610.00 with serials, from one supplier."""
    supplier = make_supplier(name="Sluice Lane Pumps")
    pump = make_part(code="PU-63", cost=None, description="Bilge pump, 63 l/min")
    display = make_part(code="NA-12", cost=None, description="Chart display, 12 in")
    Part.objects.filter(pk=display.pk).update(serial_tracked=True)
    make_offer(pump, cost="42.50", supplier=supplier)
    make_offer(display, cost="610.00", supplier=supplier)
    return buying_job(buyer, (pump, "3"), (display, "2"))


@pytest.fixture
def parts(page: Page, site: Site, job: Job, buyer: User) -> Page:
    site.sign_in(page, buyer.username, PASSWORD)
    page.goto(site + f"/jobs/{job.number}/orders/")
    return page


def state_of(page: Page, code: str) -> str:
    return page.locator("#parts tbody tr", has_text=code).locator(".follow").inner_text().strip()


def send_the_order(page: Page) -> None:
    page.get_by_role("button", name="Draft purchase orders").click()
    expect(page.locator("#messages")).to_contain_text("1 draft ready to check and send.")
    page.get_by_role("link", name=re.compile("^Draft")).click()
    page.get_by_role("button", name="Number and send").click()
    expect(page.locator(".page-head h1")).to_have_text("PO-00001")


def receive(page: Page, **fields: str) -> None:
    """Fields are named after the code they start with: `pu_63_accepted="3"`."""
    page.get_by_role("link", name="Receive goods").click()
    assert_accessible(page)
    for name, value in fields.items():
        code, number, what = name.upper().split("_", 2)
        label = re.compile(f"^{code}-{number}: {what.replace('_', ' ').lower()}")
        page.get_by_label(label).fill(value)
    page.get_by_role("button", name="Record goods receipt").last.click()


def test_needed_parts_are_drafted_and_the_order_goes_out(parts: Page) -> None:
    assert (state_of(parts, "PU-63"), state_of(parts, "NA-12")) == ("Needed", "Needed")
    expect(parts.locator(".page-head")).to_contain_text("2 to order, €1,347.50")
    assert_accessible(parts)
    send_the_order(parts)
    assert_accessible(parts)
    text = pdf_behind(parts.get_by_role("link", name="Open the PDF"))
    for words in ("PO-00001", "Sluice Lane Pumps", "S-PU-63", "Chart display, 12 in", "2 pc"):
        assert words in text
    assert "€1,347.50" in text  # 3 × 42.50 + 2 × 610.00
    parts.get_by_role("link", name=re.compile("^Parts and orders of")).click()
    assert (state_of(parts, "PU-63"), state_of(parts, "NA-12")) == ("Ordered", "Ordered")


def test_part_delivery_leaves_a_shortage_until_the_rest_comes(parts: Page, job: Job) -> None:
    send_the_order(parts)
    receive(parts, pu_63_accepted="3", na_12_accepted="1", na_12_serial_numbers="SN-771")
    expect(parts.locator("#messages")).to_contain_text("GR-00001 is on record.")
    expect(parts.get_by_role("row", name=re.compile("^NA-12 "))).to_contain_text("2 pc")
    parts.get_by_role("link", name=re.compile("^Parts and orders of")).click()
    assert (state_of(parts, "PU-63"), state_of(parts, "NA-12")) == ("Received", "Part received")
    shortage = parts.locator("section", has=parts.get_by_role("heading", name="Shortages"))
    expect(shortage).to_contain_text("NA-12")
    expect(shortage).not_to_contain_text("PU-63")
    assert_accessible(parts)

    parts.get_by_role("link", name="PO-00001").click()
    parts.get_by_role("link", name="Receive goods").click()
    parts.get_by_role("button", name="Everything came").click()
    expect(parts.get_by_label(re.compile("^NA-12: accepted"))).to_have_value("1")
    parts.get_by_label(re.compile("^NA-12: serial numbers")).fill("SN-772")
    parts.get_by_role("button", name="Record goods receipt").last.click()
    expect(parts.locator("#messages")).to_contain_text("GR-00002 is on record.")
    expect(parts.locator(".page-head")).to_contain_text("Received")
    parts.get_by_role("link", name=re.compile("^Parts and orders of")).click()
    expect(parts.get_by_text("Everything needed is here.")).to_be_visible()
    assert state_of(parts, "NA-12") == "Received"
    serials = SerialNumber.objects.filter(job=job).values_list("serial", flat=True)
    assert list(serials) == ["SN-771", "SN-772"]


def test_more_than_was_ordered_is_refused_and_what_was_typed_stays(parts: Page, job: Job) -> None:
    send_the_order(parts)
    receive(parts, pu_63_accepted="4", na_12_accepted="1")
    field = parts.get_by_label(re.compile("^PU-63: accepted"))
    expect(field).to_have_value("4")
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(parts.locator(".field.wrong")).to_contain_text("3 pc")
    expect(parts.get_by_label(re.compile("^NA-12: accepted"))).to_have_value("1")
    assert_accessible(parts)
    assert not job.movements.exists()
