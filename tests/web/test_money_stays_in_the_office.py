"""No byte sent to a technician tells a price; none sent to a customer tells cost or margin."""

import io
import re
from collections.abc import Iterator
from decimal import Decimal

import pytest
from bs4 import BeautifulSoup
from django.apps import apps
from django.db import models
from pypdf import PdfReader

from fitout.kit.money import money_text
from tests.web.crawl import Visit, Walk

MONEY_WORDS = re.compile(
    r"\b(cost|costs|price|prices|priced|sell|margin|margins|mark-?ups?|discount|deposit)\b|€|\bEUR\b",
    re.IGNORECASE,
)
OFFICE_WORDS = re.compile(r"\b(our cost|cost price|margin|margins|mark-?ups?)\b", re.IGNORECASE)
COSTS = re.compile(r"(^|_)(cost|cost_per_h|carriage)(_|$)")
MONEY = re.compile(r"(^|_)(cost|carriage|sell|price|net|tax|gross|amount|total|override)(_|$)")
NOT_MONEY = re.compile(r"_(pct|h|kg|ah|a|w|v|m)$|hours")
SMALLEST_TELLING_FIGURE = Decimal(20)


def test_a_technician_reads_no_word_about_money(walks: dict[str, Walk]) -> None:
    read = list(_texts(walks["technician"]))
    assert len(read) > 5
    told = [f"{url}: …{around}…" for url, text in read for around in _found(MONEY_WORDS, text)]
    assert told == []


def test_a_technician_gets_no_figure_of_money(walks: dict[str, Walk], demo: None) -> None:
    figures = _figures(MONEY)
    assert len(figures) > 100
    assert _leaks(walks["technician"], figures) == []


def test_a_customer_reads_no_word_of_the_office(walks: dict[str, Walk]) -> None:
    read = list(_texts(walks["customer"]))
    assert len(read) > 1
    told = [f"{url}: …{around}…" for url, text in read for around in _found(OFFICE_WORDS, text)]
    assert told == []


def test_a_customer_gets_no_figure_of_cost(walks: dict[str, Walk], demo: None) -> None:
    figures = _figures(COSTS) - _figures_shown_to_customers()
    assert len(figures) > 100
    assert _leaks(walks["customer"], figures) == []


def _leaks(walked: Walk, figures: set[str]) -> list[str]:
    """Figures, written as the pages write money or as a program would, found in any answer."""
    return [
        f"{url}: {figure}"
        for url, text in _contents(walked)
        for figure in sorted(_numbers_in(text) & figures)
    ]


def _numbers_in(text: str) -> set[str]:
    """Every number with cents, without its thousands."""
    return {
        found.replace(",", "") for found in re.findall(r"(?<![\w.])\d[\d,]*\.\d\d(?![\d.])", text)
    }


def _figures(named: re.Pattern[str]) -> set[str]:
    """The money in the database, except what some measured quantity happens to equal."""
    money: set[Decimal] = set()
    measured: set[Decimal] = set()
    for model in apps.get_models():
        for one in model._meta.concrete_fields:
            if isinstance(one, models.DecimalField):
                is_money = named.search(one.name) and not NOT_MONEY.search(one.name)
                values = model._default_manager.values_list(one.name, flat=True)
                (money if is_money else measured).update(v for v in values if v is not None)
    return {_plain(v) for v in money if v >= SMALLEST_TELLING_FIGURE} - {
        _plain(v) for v in measured
    }


def _figures_shown_to_customers() -> set[str]:
    from quotes.models import QuoteLine, Revision

    shown: set[Decimal] = set(QuoteLine.objects.values_list("net", flat=True))
    for revision in Revision.objects.all():
        shown |= {revision.net_total, revision.tax_total, revision.gross_total}
    return {_plain(value) for value in shown}


def _plain(value: Decimal) -> str:
    return money_text(value).removeprefix("€").replace(",", "")


def _found(pattern: re.Pattern[str], text: str) -> list[str]:
    return [text[max(0, m.start() - 30) : m.end() + 30] for m in pattern.finditer(text)]


def _texts(walked: Walk) -> Iterator[tuple[str, str]]:
    """What a person reads: the text of pages, with the attributes that are read out, and PDFs."""
    for url, text in _contents(walked):
        if text.startswith("%PDF-"):
            yield url, text
            continue
        soup = BeautifulSoup(text, "html.parser")
        spoken = [str(element.get("aria-label") or "") for element in soup.select("[aria-label]")]
        hidden = [str(element.get("value") or "") for element in soup.select("input")]
        yield url, " ".join([*soup.stripped_strings, *spoken, *hidden])


def _contents(walked: Walk) -> Iterator[tuple[str, str]]:
    for visits in walked.visits.values():
        for visit in visits:
            if visit.status == 200:
                yield visit.url, _content(visit)


def _content(visit: Visit) -> str:
    if visit.content_type == "application/pdf":
        pages = PdfReader(io.BytesIO(visit.content)).pages
        return "%PDF- " + " ".join(page.extract_text() for page in pages)
    return visit.content.decode("utf-8", "replace")


@pytest.mark.pure
def test_the_figures_are_recognised_as_pages_write_them() -> None:
    text = f"<td>{money_text(Decimal('1234.5'))}</td> 12.00.1 v3.50a data-net=88.20"
    assert _numbers_in(text) == {"1234.50", "88.20"}
