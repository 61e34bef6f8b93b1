"""Keys, night, and the guards against lost work, on the page that shows every part."""

import re

import pytest
from playwright.sync_api import BrowserContext, Dialog, Page, expect

from fitout.kit.models import Role
from tests.factories.people import PASSWORD, make_user
from tests.fixtures.browser import Site

# The mark has the database set up; each test works on a copy of its own.
pytestmark = [pytest.mark.browser, pytest.mark.django_db]


@pytest.fixture
def parts(page: Page, site: Site) -> Page:
    page.goto(site + "/look/")
    page.evaluate("document.activeElement.blur()")
    return page


def test_slash_goes_to_the_search_box(page: Page, site: Site) -> None:
    user = make_user(role=Role.OWNER)
    site.sign_in(page, user.username, PASSWORD)
    page.goto(site + "/look/")
    page.evaluate("document.activeElement.blur()")
    page.keyboard.press("/")
    expect(page.get_by_role("searchbox")).to_be_focused()


def test_night_is_kept_on_this_device(parts: Page) -> None:
    parts.keyboard.press("n")
    parts.reload()
    expect(parts.locator("html")).to_have_attribute("data-light", "night")


def test_single_keys_sleep_while_somebody_types(parts: Page) -> None:
    field = parts.get_by_label("Add a line to HM")
    field.press_sequentially("n2 aczu")
    expect(field).to_have_value("n2 aczu")
    expect(parts.locator("html")).not_to_have_attribute("data-light", "night")
    assert "zone=" not in parts.url


def test_arrows_take_rows_in_hand_and_a_opens_the_entry_line(parts: Page) -> None:
    parts.keyboard.press("ArrowDown")
    parts.keyboard.press("ArrowDown")
    expect(parts.locator("tr.line.hand")).to_have_attribute("data-line", "HM-02")
    parts.keyboard.press("ArrowUp")
    expect(parts.locator("tr.line.hand")).to_have_attribute("data-line", "HM-01")
    parts.keyboard.press("a")
    expect(parts.get_by_label("Add a line to HM")).to_be_focused()


def test_z_goes_through_the_zones_and_hides_the_others(parts: Page) -> None:
    rows = parts.locator("tbody[data-in-zone=HM]")
    parts.keyboard.press("z")
    expect(parts).to_have_url(re.compile("zone=HM"))
    expect(rows).to_be_visible()
    parts.keyboard.press("z")
    expect(parts).to_have_url(re.compile("zone=FD"))
    expect(rows).to_be_hidden()


def test_question_mark_lists_every_key(parts: Page) -> None:
    parts.keyboard.press("?")
    listed = parts.locator("#keys-list").inner_text()
    for words in ("Find", "Day or night", "Next zone", "Add a line", "Undo the last change"):
        if words != "Find":
            assert words in listed


def test_leaving_a_changed_form_asks_first(parts: Page) -> None:
    asked: list[str] = []

    def answer(dialog: Dialog) -> None:
        asked.append(dialog.type)
        dialog.accept()

    parts.on("dialog", answer)
    parts.locator("#id_name").fill("Anchor light")
    parts.goto(parts.url.replace("/look/", "/look/board/"))
    assert asked == ["beforeunload"]


def test_entry_waits_on_the_phone_until_the_signal_is_back(
    phone: Page, site: Site, context: BrowserContext
) -> None:
    user = make_user(role=Role.TECHNICIAN)
    site.sign_in(phone, user.username, PASSWORD)
    phone.goto(site + "/look/phone/")
    phone.evaluate(
        """() => {
            const form = document.createElement("form");
            Object.assign(form, { method: "post", action: "/sign-out/" });
            form.dataset.offline = "Picked: isolator";
            const button = document.createElement("button");
            button.setAttribute("aria-pressed", "false");
            button.textContent = "Isolator picked";
            form.append(button);
            document.querySelector("#content").append(form);
        }"""
    )
    context.set_offline(True)
    phone.get_by_role("button", name="Isolator picked").click()
    expect(phone.locator("#offline")).to_have_text("Offline. 1 entry saved here")
    expect(phone.get_by_role("button", name="Isolator picked")).to_have_attribute(
        "aria-pressed", "true"
    )
    with phone.expect_response("**/sign-out/"):
        context.set_offline(False)
    expect(phone.locator("#offline")).to_be_hidden()
    phone.wait_for_function("localStorage.getItem('waiting') === '[]'")  # the page is loaded anew


def test_session_that_ended_asks_to_sign_in_and_keeps_what_was_typed(
    page: Page, site: Site, context: BrowserContext
) -> None:
    user = make_user(role=Role.OWNER)
    site.sign_in(page, user.username, PASSWORD)
    page.goto(site + "/people/new/")
    page.locator("#id_display_name").fill("Suri Dane")
    form = page.locator("form.form")
    form.evaluate(
        "form => { form.setAttribute('hx-post', location.pathname); htmx.process(form); }"
    )
    context.clear_cookies(name="sessionid")
    form.get_by_role("button", name="Save this person").click()
    expect(page.get_by_role("heading", name="You have been signed out")).to_be_visible()

    other = context.new_page()
    site.sign_in(other, user.username, PASSWORD)
    page.get_by_role("button", name="Back to the page").click()
    expect(page.locator("#messages")).to_contain_text("You are signed in again")
    expect(page.locator("#id_display_name")).to_have_value("Suri Dane")
    with page.expect_response("**/people/new/") as answer:
        form.get_by_role("button", name="Save this person").click()
    assert answer.value.status == 422  # read by the server again, not refused at the door
