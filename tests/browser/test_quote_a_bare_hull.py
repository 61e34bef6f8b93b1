"""From an enquiry for a bare hull to the customer's signed yes, in the browser."""

import re
from collections.abc import Callable
from decimal import Decimal

import pytest
from playwright.sync_api import Browser, Page, expect

from catalogue.models import Kit, LabourOperation, Part
from fitout.jobs.models import Job, Stage
from fitout.kit.models import Role
from quotes.models import Acceptance, MarkUp
from tests.browser.reading import assert_accessible, pdf_behind, plain
from tests.factories.jobs import make_kit, make_operation, make_part, make_tax_group
from tests.factories.people import PASSWORD, make_user
from tests.fixtures.browser import Site

pytestmark = [pytest.mark.browser, pytest.mark.django_db]

SECRET_COST = "€100.00"

# Two pumps at 100.00 + 30 %, a kit of two hoses at 20.00 + 30 % and 1.5 h at 58.00, and 2 h of
# labour at 58.00: 260.00 + 139.00 + 116.00 = 515.00, with 23 % VAT 633.45. The flood lamp,
# 100.00 + 30 %, is an option: (515.00 + 130.00) × 1.23 = 793.35.
WITHOUT_OPTION, WITH_OPTION = "€633.45", "€793.35"


@pytest.fixture
def shelf(site: Site) -> tuple[Part, Kit, LabourOperation, Part]:
    make_tax_group()
    MarkUp.objects.create(category="", mark_up_pct=Decimal(30))
    pump = make_part(code="PU-63", cost="100.00", description="Bilge pump, 63 l/min")
    hose = make_part(code="HO-19", cost="20.00", description="Hose, 19 mm")
    fit = make_operation(code="FIT-PUMP", standard_h="1.50")
    kit = make_kit((hose, "2"), (fit, "1"), code="KIT-WASH")
    Kit.objects.filter(pk=kit.pk).update(description="Wash-down set")
    bed = make_operation(code="BED-FITTING", standard_h="2.00")
    LabourOperation.objects.filter(pk=bed.pk).update(description="Bed a through-hull fitting")
    lamp = make_part(code="LI-40", cost="100.00", description="Deck flood, 40 W")
    return pump, kit, bed, lamp


@pytest.fixture
def office(page: Page, site: Site) -> Page:
    user = make_user(role=Role.ESTIMATOR)
    site.sign_in(page, user.username, PASSWORD)
    return page


def open_job(page: Page, site: Site) -> None:
    page.goto(site + "/jobs/new/?template=workboat")
    assert_accessible(page)
    page.get_by_label("New customer").fill("Grey Heron Ferries")
    page.locator("#id_vessel_name").fill("Dulse")
    page.get_by_role("button", name="Open this job").click()
    expect(page.locator("#messages")).to_contain_text("is opened for Dulse")


def add_line(page: Page, zone: str, words: str, code: str) -> None:
    """Type it into the zone's entry line, then take it from what was found."""
    rows = page.locator(f"#zone-{zone} tr[data-line]")
    before = rows.count()
    page.locator(f"#zone-{zone} input[type=search]").press_sequentially(words)
    found = page.locator(f"#found-{zone} li", has_text=code)
    found.get_by_role("button", name=f"Add to {zone}").click()
    expect(rows).to_have_count(before + 1)


def test_hull_plan_comes_from_the_template(
    office: Page, site: Site, shelf: tuple[Part, Kit, LabourOperation, Part]
) -> None:
    open_job(office, site)
    office.get_by_role("link", name="Hull plan").click()
    expect(office.get_by_role("heading", name="Zones")).to_be_visible()
    for zone in ("FD", "HM", "EW", "HB"):
        expect(office.get_by_role("row", name=re.compile(f"^{zone} "))).to_have_count(1)
    expect(office.locator("figure svg").first).to_be_visible()
    assert_accessible(office)


def test_quote_is_issued_and_the_customer_accepts_it_with_an_option(
    office: Page, site: Site, browser: Browser, shelf: tuple[Part, Kit, LabourOperation, Part]
) -> None:
    open_job(office, site)
    add_line(office, "HB", "2 bilge pump", "PU-63")
    add_line(office, "HB", "wash-down", "KIT-WASH")
    add_line(office, "HB", "bed through", "BED-FITTING")
    add_line(office, "HM", "deck flood", "LI-40")
    lamp = office.locator("#zone-HM tr[data-line]", has_text="Deck flood")
    lamp.locator("button.chip").click()
    expect(office.locator("#zone-HM tr[data-line] button.chip")).to_have_text("option")
    expect(office.locator("#strip")).to_contain_text(WITHOUT_OPTION)
    assert_accessible(office)

    office.get_by_role("link", name="Quotes").click()
    expect(office.locator("dl.totals").first).to_contain_text(WITHOUT_OPTION)
    assert_accessible(office)
    office.get_by_role("button", name="Issue this quote").click()
    heading = office.locator(".page-head h1")
    expect(heading).to_have_text(re.compile(r"^Quote Q-\d{4}-A$"))
    assert_accessible(office)

    text = pdf_behind(office.get_by_role("link", name="Open the PDF"))
    for words in (heading.inner_text(), "Bilge pump, 63 l/min", "Wash-down set", WITHOUT_OPTION):
        assert words in text
    assert "Grey Heron Ferries" in text
    assert SECRET_COST not in text

    link = office.get_by_role("link", name="Customer's page").get_attribute("href")
    accept_as_customer(browser.new_page, str(link))

    office.reload()
    expect(office.locator("#answer")).to_contain_text("Noor Pascoe")
    expect(office.locator("#answer")).to_contain_text(WITH_OPTION)
    job = Job.objects.get(vessel__name="Dulse")
    assert job.stage == Stage.ACCEPTED
    assert job.lines.get(choice="option").taken
    assert Acceptance.objects.get(revision__job=job).gross_total == Decimal("793.35")


def accept_as_customer(new_page: Callable[[], Page], link: str) -> None:
    customer = new_page()
    customer.goto(link)
    box = customer.locator("#price-box")
    expect(box).to_contain_text(WITHOUT_OPTION)
    assert SECRET_COST not in plain(customer.locator("body").inner_text())
    customer.get_by_text("Deck flood, 40 W").click()
    expect(box).to_contain_text(WITH_OPTION)
    assert_accessible(customer)
    customer.get_by_role("button", name="Accept this quote").click()
    expect(customer.locator("#accept")).to_contain_text("Tick to accept.")
    expect(box).to_contain_text(WITH_OPTION)  # the option stays ticked
    customer.locator("#id_name").fill("Noor Pascoe")
    customer.get_by_text("I accept this quote and its terms", exact=True).click()
    customer.get_by_role("button", name="Accept this quote").click()
    expect(customer.locator("#accept")).to_contain_text("Noor Pascoe")
    expect(customer.get_by_role("heading", name="Accepted")).to_be_visible()
    assert_accessible(customer)
    customer.context.close()
