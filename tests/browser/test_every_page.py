"""Every page in Chromium at three widths: it fits, breaks no rule of access, and runs clean."""

from collections import deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from urllib.parse import urlsplit

import pytest
from django.conf import settings
from playwright.sync_api import BrowserContext, ConsoleMessage, Page

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
    opened = one_ahead(_opened(context, site, visit) for visit in pages)
    wrong = [what for page in opened for what in page.wrong()]
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


@dataclass
class Opened:
    """A page on its way, and what it said in the console."""

    path: str
    page: Page
    said: list[str]

    def wrong(self) -> Iterator[str]:
        self.page.wait_for_load_state("networkidle")
        for width in WIDTHS:
            self.page.set_viewport_size({"width": width, "height": 900})
            over_px = self.page.evaluate(WIDER_THAN_WINDOW)
            if over_px > 0:
                yield f"{self.path} at {width} px: {over_px} px too wide"
        yield from (f"{self.path}: {violation}" for violation in violations(self.page))
        yield from (f"{self.path}: {message}" for message in self.said if message)
        self.page.close()


def _opened(context: BrowserContext, site: Site, visit: Visit) -> Opened:
    page = context.new_page()
    opened = Opened(visit.url, page, said=[])
    page.on("console", lambda message: opened.said.append(_text(message)))
    page.on("pageerror", lambda error: opened.said.append(f"error: {error}"))
    page.set_viewport_size({"width": WIDTHS[0], "height": 900})
    page.goto(site + visit.url)
    return opened


def one_ahead(pages: Iterable[Opened]) -> Iterator[Opened]:
    """Each page, the next one opened before it: none is waited for while nothing is done."""
    waiting: deque[Opened] = deque()
    for page in pages:
        waiting.append(page)
        if len(waiting) > 1:
            yield waiting.popleft()
    yield from waiting


def _text(message: ConsoleMessage) -> str:
    return f"console {message.type}: {message.text}" if message.type == "error" else ""
