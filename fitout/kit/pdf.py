"""HTML to PDF. Nothing is fetched: pictures are data, styles and fonts are our own files."""

from __future__ import annotations

import base64
import io
import mimetypes
from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote

from django.contrib.staticfiles import finders
from django.template.loader import render_to_string

if TYPE_CHECKING:
    from weasyprint.urls import URLFetcher, URLFetcherResponse

OWN = "https://static.invalid/"  # never resolved: a name for our own static files
KINDS = frozenset({"text/css", "font/woff2", "font/ttf", "font/otf", "image/svg+xml", "image/png"})


class Unfetchable(ValueError):
    """A document asked for something that is neither data nor one of our own static files."""


def static_file(name: str) -> Path:
    found = finders.find(name)
    if not found or not isinstance(found, str):
        raise Unfetchable(f"no static file {name!r}")
    return Path(found)


def fetcher() -> URLFetcher:
    """Data URLs and our own static files by name; http, file and the rest are refused."""
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class DataOnly(URLFetcher):  # type: ignore[misc]
        def fetch(self, url: str, headers: Any = None) -> URLFetcherResponse:
            if url.startswith("data:"):
                return super().fetch(url, headers)
            if not url.startswith(OWN):
                raise Unfetchable(f"a document may not load {url[:80]!r}")
            path = static_file(unquote(url.removeprefix(OWN)))
            body, kind = body_of(path)
            return URLFetcherResponse(url, body=body, headers={"Content-Type": kind})

    return DataOnly(allowed_protocols={"data"}, allow_redirects=False)


def kind_of(path: Path) -> str:
    kind = mimetypes.guess_type(path.name)[0] or "application/octet-stream"
    if kind not in KINDS:
        raise Unfetchable(f"a document may not load a file of kind {kind}")
    return kind


def body_of(path: Path) -> tuple[bytes, str]:
    kind = kind_of(path)
    if kind == "font/woff2":
        return as_truetype(path, path.stat().st_mtime_ns), "font/ttf"
    return path.read_bytes(), kind


@lru_cache(maxsize=32)
def as_truetype(path: Path, modified_ns: int) -> bytes:
    """A web font unpacked, once per process: the renderer would unpack it for every document,
    which took most of a document's time."""
    from fontTools.ttLib.woff2 import decompress

    unpacked = io.BytesIO()
    with path.open("rb") as packed:
        decompress(packed, unpacked)
    return unpacked.getvalue()


@lru_cache(maxsize=32)
def as_data_url(name: str, modified_ns: int) -> str:
    path = static_file(name)
    return f"data:{kind_of(path)};base64,{base64.b64encode(path.read_bytes()).decode()}"


def data_url(name: str) -> str:
    """A static file as a data URL, read again when it changes on disk."""
    return as_data_url(name, static_file(name).stat().st_mtime_ns)


def html_to_pdf(html: str, *, sheets: Sequence[str] = ("print/doc.css",)) -> bytes:
    from weasyprint import CSS, HTML
    from weasyprint.text.fonts import FontConfiguration

    own_only = fetcher()
    fonts = FontConfiguration()  # without it the faces in the style sheets are not used
    styles = [
        CSS(
            string=static_file(sheet).read_text(encoding="utf-8"),
            url_fetcher=own_only,
            base_url=f"{OWN}{sheet}",
            font_config=fonts,
        )
        for sheet in sheets
    ]
    page = HTML(string=html, url_fetcher=own_only, base_url=f"{OWN}print/")
    return bytes(page.write_pdf(stylesheets=styles, font_config=fonts, pdf_tags=True))


def render_pdf(
    template: str, context: Mapping[str, Any], *, sheets: Sequence[str] = ("print/doc.css",)
) -> bytes:
    """Every document names the workshop; the rest is up to the caller."""
    from .models import Workshop

    known = {"workshop": Workshop.current(), **context}
    return html_to_pdf(render_to_string(template, known), sheets=sheets)
