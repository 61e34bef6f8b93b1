"""HTML to PDF, as a process of its own: ``python -m fitout.kit.drawing``.

It reads an ``Order`` per line from standard input, as JSON, and answers each with a line of JSON:
how many bytes of PDF follow, or what went wrong. It ends with its input, or when nothing was asked
for ``IDLE_S``. Only `press` starts it. Django
is not imported: the renderer alone takes twice the memory of a web worker, and gives it back by
ending.

Nothing is fetched: pictures are data, styles and fonts are our own files.
"""

from __future__ import annotations

import io
import json
import mimetypes
import os
import select
import sys
from dataclasses import asdict, dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any
from urllib.parse import unquote

IDLE_S = 60.0
OWN = "https://static.invalid/"  # never resolved: a name for our own static files
KINDS = frozenset({"text/css", "font/woff2", "font/ttf", "font/otf", "image/svg+xml", "image/png"})


class Unfetchable(ValueError):
    """A document asked for something that is neither data nor one of our own static files."""


@dataclass(frozen=True)
class Order:
    """A document to draw: its style sheets are named below one of the folders of static files."""

    html: str
    sheets: tuple[str, ...]
    folders: tuple[str, ...]

    def to_line(self) -> bytes:
        return json.dumps(asdict(self)).encode() + b"\n"

    @classmethod
    def from_line(cls, line: bytes) -> Order:
        said = json.loads(line)
        return cls(said["html"], tuple(said["sheets"]), tuple(said["folders"]))


def static_file(name: str, folders: tuple[str, ...]) -> Path:
    """The file of that name; a name that leads out of the folders finds nothing."""
    for folder in map(Path, folders):
        path = (folder / name).resolve()
        if path.is_relative_to(folder.resolve()) and path.is_file():
            return path
    raise Unfetchable(f"no static file {name!r}")


def body_of(path: Path) -> tuple[bytes, str]:
    kind = mimetypes.guess_type(path.name)[0] or "application/octet-stream"
    if kind not in KINDS:
        raise Unfetchable(f"a document may not load a file of kind {kind}")
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


def fetcher(folders: tuple[str, ...]) -> Any:
    """Data URLs and our own static files by name; http, file and the rest are refused."""
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class DataOnly(URLFetcher):  # type: ignore[misc]
        def fetch(self, url: str, headers: Any = None) -> URLFetcherResponse:
            if url.startswith("data:"):
                return super().fetch(url, headers)
            if not url.startswith(OWN):
                raise Unfetchable(f"a document may not load {url[:80]!r}")
            body, kind = body_of(static_file(unquote(url.removeprefix(OWN)), folders))
            return URLFetcherResponse(url, body=body, headers={"Content-Type": kind})

    return DataOnly(allowed_protocols={"data"}, allow_redirects=False)


def draw(order: Order) -> bytes:
    from weasyprint import HTML

    files = {sheet: static_file(sheet, order.folders) for sheet in order.sheets}
    modified = tuple(file.stat().st_mtime_ns for file in files.values())
    styles, fonts = styles_of(tuple(files.items()), order.folders, modified)
    page = HTML(string=order.html, url_fetcher=fetcher(order.folders), base_url=f"{OWN}print/")
    return bytes(page.write_pdf(stylesheets=styles, font_config=fonts, pdf_tags=True))


@lru_cache(maxsize=8)
def styles_of(
    files: tuple[tuple[str, Path], ...], folders: tuple[str, ...], modified: tuple[int, ...]
) -> tuple[list[Any], Any]:
    """Style sheets and the faces they bring, read once per process as long as none changes."""
    from weasyprint import CSS
    from weasyprint.text.fonts import FontConfiguration

    fonts = FontConfiguration()  # without it the faces in the style sheets are not used
    styles = [
        CSS(
            string=file.read_text(encoding="utf-8"),
            url_fetcher=fetcher(folders),
            base_url=f"{OWN}{sheet}",
            font_config=fonts,
        )
        for sheet, file in files
    ]
    return styles, fonts


def main() -> None:
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # what a library prints is no answer
    orders = sys.stdin.buffer
    while select.select([orders], [], [], IDLE_S)[0] and (line := orders.readline()):
        content = b""
        try:
            content = draw(Order.from_line(line))
            told: dict[str, object] = {"bytes": len(content)}
        except Exception as failure:  # noqa: BLE001 - whatever it is, the caller is told
            told = {"wrong": f"{type(failure).__name__}: {failure}"}
        answers.write(json.dumps(told).encode() + b"\n" + content)
        answers.flush()


if __name__ == "__main__":
    main()
