"""What Tab comes to is seen whole, not under the knock-on strip or the bar of views."""

import pytest
from playwright.sync_api import BrowserContext, Page, ViewportSize

from tests.browser.test_every_page import sign_in
from tests.fixtures.browser import Site

pytestmark = [pytest.mark.browser, pytest.mark.django_db]

MOST_TABS = 300
WINDOWS = (ViewportSize(width=390, height=844), ViewportSize(width=1024, height=768))
PAGES = ("particulars/", "wiring/energy/")

#: After the page has settled: what is in hand, and what of it cannot be seen.
HIDDEN = """() => new Promise((answer) => requestAnimationFrame(() => requestAnimationFrame(() => {
  const held = document.activeElement;
  if (held === document.body) return answer(null);
  const box = held.getBoundingClientRect();
  const covers = (bar) => {
    if (!bar || bar.contains(held)) return false;
    const other = bar.getBoundingClientRect();
    return box.bottom > other.top + 1 && box.top < other.bottom - 1;
  };
  const wrong = [];
  if (box.height < innerHeight / 2) {
    for (const bar of ["#strip", ".job-tabs"]) if (covers(document.querySelector(bar))) wrong.push(bar);
    if (box.top < -1 || box.bottom > innerHeight + 1) wrong.push("out of the window");
  }
  if (box.width < innerWidth && (box.left < -1 || box.right > innerWidth + 1)) wrong.push("beside the window");
  const name = held.getAttribute("aria-label") || held.name || held.textContent.trim();
  answer(`${held.tagName} ${name}: ${wrong.join(", ")}`.replace(/\\s+/g, " "));
})))"""


def hidden_from(page: Page, key: str) -> tuple[int, list[str]]:
    """How many things the key came to, and each that was not seen whole."""
    met = []
    for _ in range(MOST_TABS):
        page.keyboard.press(key)
        said = page.evaluate(HIDDEN)
        if said is None:
            break
        met.append(said)
    return len(met), [said for said in met if not said.endswith(": ")]


@pytest.mark.parametrize("path", PAGES)
def test_what_is_tabbed_to_is_seen_whole(
    path: str, demo: None, site: Site, context: BrowserContext
) -> None:
    sign_in(context, site, "owner")
    page = context.new_page()
    for window in WINDOWS:
        page.set_viewport_size(window)
        for key in ("Tab", "Shift+Tab"):
            page.goto(site + f"/jobs/143/{path}")
            page.wait_for_load_state("networkidle")
            count, hidden = hidden_from(page, key)
            assert 20 < count < MOST_TABS, window
            assert hidden == [], (window, key)
