"""Walk the site by its own links, as a person would, and remember what was met.

The links give each address real arguments, and each form its real fields, so that the generated
tests grow with the site and need no list of their own.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict, deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urljoin, urlsplit

from bs4 import BeautifulSoup, Tag
from django.urls import Resolver404, URLPattern, URLResolver, get_resolver, resolve

VISITS_PER_SHAPE = 5
PDFS_PER_SHAPE = 1
NUMBER = re.compile(r"\d+")
FOLLOWED = (("a", "href"), ("form[method=get]", "action"), ("[hx-get]", "hx-get"))
SENT = ("hx-post", "hx-put", "hx-patch", "hx-delete")
BUTTONS = ("button", "submit", "image", "reset")
SENT_ONLY_IF_CHOSEN = ("checkbox", "radio", "file", "select", *BUTTONS)
FRAMEWORK_FIELDS = {"csrfmiddlewaretoken", "once"}


@dataclass(frozen=True)
class Field:
    name: str
    kind: str
    label: str
    value: str = ""
    choices: tuple[str, ...] = ()
    is_required: bool = False
    is_number: bool = False


@dataclass(frozen=True)
class Form:
    page: str
    action: str
    view_name: str
    fields: tuple[Field, ...]

    @property
    def values(self) -> dict[str, list[str]]:
        """What a browser would send if nothing were typed and Enter pressed."""
        sent: dict[str, list[str]] = defaultdict(list)
        for one in self.fields:
            is_chosen = bool(one.value) and one.kind not in BUTTONS
            if is_chosen or one.kind not in SENT_ONLY_IF_CHOSEN:
                sent[one.name].append(one.value)
        return dict(sent)

    @property
    def typed_fields(self) -> list[Field]:
        """One of each name, without what the framework put there."""
        by_name = {one.name: one for one in self.fields if one.name not in FRAMEWORK_FIELDS}
        return list(by_name.values())

    @property
    def is_upload(self) -> bool:
        return any(one.kind == "file" for one in self.fields)


@dataclass(frozen=True)
class Visit:
    url: str
    name: str
    status: int
    content_type: str
    content: bytes
    came_from: str

    @property
    def is_html(self) -> bool:
        return self.content_type.startswith("text/html")


@dataclass
class Walk:
    visits: dict[str, list[Visit]] = field(default_factory=lambda: defaultdict(list))
    forms: dict[tuple[str, tuple[str, ...]], Form] = field(default_factory=dict)
    dead_links: list[str] = field(default_factory=list)

    @property
    def addresses(self) -> dict[str, set[str]]:
        """Paths met for each view, by link or as the target of a form."""
        met: dict[str, set[str]] = defaultdict(set)
        for name, visits in self.visits.items():
            met[name].update(visit.url for visit in visits)
        for form in self.forms.values():
            met[form.view_name].add(form.action)
        return met


def walk(get: Callable[[str], Any], *starts: str) -> Walk:
    """Visit everything that links lead to, each kind of address a few times; only by GET."""
    met = Walk()
    waiting = deque((start, "the start") for start in starts)
    seen = set(starts)
    shapes: Counter[str] = Counter()
    while waiting:
        url, came_from = waiting.popleft()
        name = view_name(url)
        if name is None:
            met.dead_links.append(f"{came_from} links to {url}, which nothing answers")
            continue
        shape = NUMBER.sub("#", urlsplit(url).path)
        if shapes[shape] >= (PDFS_PER_SHAPE if shape.endswith(".pdf") else VISITS_PER_SHAPE):
            continue
        shapes[shape] += 1
        response = get(url)
        visit = _visit(url, name, response, came_from)
        met.visits[name].append(visit)
        if not visit.is_html or visit.status >= 400:
            continue
        soup = BeautifulSoup(visit.content.decode(), "html.parser")
        for form in forms_in(soup, url):
            met.forms.setdefault((form.view_name, tuple(sorted(form.values))), form)
        for link in links_in(soup, url):
            if link not in seen:
                seen.add(link)
                waiting.append((link, url))
    return met


def view_name(url: str) -> str | None:
    try:
        return resolve(urlsplit(url).path).view_name
    except Resolver404:
        return None


def all_views() -> Iterator[tuple[str, str]]:
    """The name and the route of each address of the application."""
    yield from _views_under(get_resolver().url_patterns, "", "")


def links_in(soup: BeautifulSoup, page: str) -> Iterator[str]:
    for selector, attribute in FOLLOWED:
        for element in soup.select(selector):
            target = str(element.get(attribute) or "").partition("#")[0]
            if target and (path := _own_path(page, target)):
                yield path


def forms_in(soup: BeautifulSoup, page: str) -> Iterator[Form]:
    for element in soup.find_all("form"):
        method = str(element.get("method", "get")).lower()
        target = next((str(element[a]) for a in SENT if element.get(a)), None)
        if method == "post":
            target = str(element.get("action") or target or page)
        if target is not None:
            yield from _form(soup, element, page, target)
        for button in element.select("button[formaction], input[formaction]"):
            yield from _form(soup, element, page, str(button["formaction"]))
    for element in soup.select(", ".join(f"[{a}]:not(form)" for a in SENT)):
        target = next(str(element[a]) for a in SENT if element.get(a))
        around = element.find_parent("form") or element
        yield from _form(soup, around, page, target)


def _form(soup: BeautifulSoup, element: Tag, page: str, target: str) -> Iterator[Form]:
    action = _own_path(page, target)
    name = view_name(action) if action else None
    if action and name:
        own = element.get("id")
        outside = soup.select(f'[form="{own}"]') if own else []
        inside = list(element.select("input, select, textarea, button[name]"))
        fields = [_field(soup, one) for one in [*inside, *outside] if one.get("name")]
        yield Form(page, action, name, tuple(fields))


def _field(soup: BeautifulSoup, element: Tag) -> Field:
    kind = element.name if element.name != "input" else str(element.get("type", "text")).lower()
    choices: tuple[str, ...] = ()
    value = str(element.get("value") or "")
    if kind == "select":
        options = element.find_all("option")
        choices = tuple(str(option.get("value") or "") for option in options)
        chosen = next(
            (o for o in options if o.has_attr("selected")), options[0] if options else None
        )
        value = str(chosen.get("value") or "") if chosen else ""
    elif kind == "textarea":
        value = element.get_text().removeprefix("\n")
    elif kind in ("checkbox", "radio") and not element.has_attr("checked"):
        value = ""
    return Field(
        name=str(element["name"]),
        kind=kind,
        label=_label(soup, element),
        value=value,
        choices=choices,
        is_required=element.has_attr("required"),
        is_number=kind == "number" or element.get("inputmode") in ("decimal", "numeric"),
    )


def _label(soup: BeautifulSoup, element: Tag) -> str:
    labelled = soup.select_one(f'label[for="{element["id"]}"]') if element.get("id") else None
    around = labelled or element.find_parent("label")
    if around is None:
        return str(element.get("aria-label") or "")
    for mark in around.select(".required"):
        mark.extract()
    return " ".join(around.get_text(" ").split())


def _own_path(page: str, target: str) -> str | None:
    """The path and query of a link to the site itself."""
    parts = urlsplit(urljoin(f"http://testserver{page}", target))
    if parts.scheme != "http" or parts.netloc != "testserver":
        return None
    if parts.path.startswith("/static/"):
        return None
    return parts.path + (f"?{parts.query}" if parts.query else "")


def _visit(url: str, name: str, response: Any, came_from: str) -> Visit:
    streaming = getattr(response, "streaming", False)
    content = b"".join(response.streaming_content) if streaming else response.content
    content_type = response.headers.get("Content-Type", "")
    return Visit(url, name, response.status_code, content_type, content, came_from)


def _views_under(
    patterns: list[URLPattern | URLResolver], namespace: str, route: str
) -> Iterator[tuple[str, str]]:
    for pattern in patterns:
        here = route + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            inner = f"{namespace}{pattern.namespace}:" if pattern.namespace else namespace
            yield from _views_under(pattern.url_patterns, inner, here)
        else:
            yield f"{namespace}{pattern.name}" if pattern.name else "", here
