"""Every page in Chromium at three widths: it fits, breaks no rule of access, and runs clean."""

from collections.abc import Iterator
from urllib.parse import urlsplit

import pytest
from django.conf import settings
from playwright.sync_api import BrowserContext, ConsoleMessage

from tests.browser.reading import violations
from tests.fixtures.browser import Site
from tests.fixtures.walks import client_as
from tests.web.crawl import Visit, Walk

pytestmark = pytest.mark.browser

WIDTHS = (390, 1024, 1440)
ROLES = ("owner", "technician", "customer")
WIDER_THAN_WINDOW = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


@pytest.mark.parametrize("role", ROLES)
def test_every_page_fits_and_is_accessible(
    role: str, walks: dict[str, Walk], demo: None, site: Site, context: BrowserContext
) -> None:
    pages = list(_pages(walks[role]))
    assert pages
    sign_in(context, site, role)
    wrong = [what for visit in pages for what in _wrong_on(context, site, visit)]
    assert wrong == [], f"{len(wrong)} wrong:\n" + "\n".join(wrong)


def _pages(walked: Walk) -> Iterator[Visit]:
    """One whole page of each view; fragments are looked at inside the page they belong to."""
    for visits in walked.visits.values():
        whole = [v for v in visits if v.is_html and v.status == 200 and b"<html" in v.content]
        yield from whole[:1]


def sign_in(context: BrowserContext, site: Site, role: str) -> None:
    if role == "customer":
        return
    cookie = client_as(role).cookies[settings.SESSION_COOKIE_NAME]
    context.add_cookies(
        [
            {
                "name": settings.SESSION_COOKIE_NAME,
                "value": cookie.value,
                "domain": urlsplit(site.url).hostname or "",
                "path": "/",
            }
        ]
    )


def _wrong_on(context: BrowserContext, site: Site, visit: Visit) -> Iterator[str]:
    page = context.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(_text(message)))
    page.on("pageerror", lambda error: said.append(f"error: {error}"))
    page.set_viewport_size({"width": WIDTHS[0], "height": 900})
    page.goto(site + visit.url)
    page.wait_for_load_state("networkidle")
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        over_px = page.evaluate(WIDER_THAN_WINDOW)
        if over_px > 0:
            yield f"{visit.url} at {width} px: {over_px} px too wide"
    yield from (f"{visit.url}: {violation}" for violation in violations(page))
    yield from (f"{visit.url}: {message}" for message in said if message)
    page.close()


def _text(message: ConsoleMessage) -> str:
    return f"console {message.type}: {message.text}" if message.type == "error" else ""
