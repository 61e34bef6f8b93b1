"""What a person reads: text of documents, and what axe says of a page."""

import io
from urllib.parse import urljoin

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Locator, Page
from pypdf import PdfReader

LEVELS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
#: What passed is told with one node each, not with every element of the page.
ASKED = {"runOnly": LEVELS, "resultTypes": ["violations"]}


def violations(page: Page) -> list[str]:
    found = Axe().run(page, options=ASKED).response["violations"]
    return [
        f"{one['id']} ({one['help']}): {node['html'][:160]}"
        for one in found
        for node in one["nodes"]
    ]


def assert_accessible(page: Page) -> None:
    page.wait_for_load_state("networkidle")
    found = violations(page)
    assert found == [], f"{page.url}:\n" + "\n".join(found)


def pdf_behind(link: Locator) -> str:
    """The text of the PDF that the link of a page opens, with white space made plain."""
    page = link.page
    answer = page.request.get(urljoin(page.url, str(link.get_attribute("href"))))
    assert answer.ok
    assert answer.headers["content-type"] == "application/pdf"
    reader = PdfReader(io.BytesIO(answer.body()))
    return plain("\n".join(sheet.extract_text() for sheet in reader.pages))


def plain(text: str) -> str:
    return " ".join(text.replace("\u202f", " ").replace("\xa0", " ").split())
