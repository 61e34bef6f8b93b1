import io
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from typing import Any

import pytest
from django.contrib.staticfiles import finders
from pypdf import PdfReader

from fitout.kit import drawing, pdf
from fitout.kit.press import CannotDraw, Press

pytestmark = pytest.mark.pure

DOT = "data:image/svg+xml,<svg xmlns='http://www.w3.org/2000/svg' width='9' height='9'/>"


@pytest.fixture
def sheets(settings: Any, tmp_path: Path) -> tuple[str, ...]:
    (tmp_path / "print").mkdir()
    (tmp_path / "print" / "test.css").write_text("@page { size: A4 } p { color: #333 }")
    (tmp_path / "secret.txt").write_text("secret words")
    settings.STATICFILES_DIRS = [tmp_path]
    forget_static_files()
    return ("print/test.css",)


@pytest.fixture(autouse=True)
def own_static_files_again() -> Iterator[None]:
    yield
    forget_static_files()


def forget_static_files() -> None:
    cached: Any = finders.get_finder
    cached.cache_clear()


def text_of(content: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages)


def test_html_becomes_pages_with_text(sheets: tuple[str, ...]) -> None:
    content = pdf.html_to_pdf(f"<p>Panel, 12 V</p><img src=\"{DOT}\" alt=''>", sheets=sheets)
    assert content.startswith(b"%PDF-")
    assert "Panel, 12 V" in text_of(content)


def test_text_is_text_even_when_it_looks_like_markup(sheets: tuple[str, ...]) -> None:
    from django.utils.html import escape

    name = "<script>alert(1)</script> & שלום"
    content = pdf.html_to_pdf(f"<p>{escape(name)}</p>", sheets=sheets)
    assert "<script>alert(1)</script> &" in text_of(content)


@pytest.mark.parametrize(
    "url",
    [
        "http://127.0.0.1:1/x.png",
        "https://example.org/x.css",
        "file:///etc/passwd",
        "ftp://127.0.0.1/x",
        "https://static.invalid/../../../etc/passwd",
        "https://static.invalid/secret.txt",
        "https://static.invalid/no-such.css",
    ],
)
def test_nothing_but_data_and_own_styles_is_fetched(url: str, sheets: tuple[str, ...]) -> None:
    with pytest.raises(drawing.Unfetchable):
        drawing.fetcher(pdf.static_folders()).fetch(url)


def test_own_styles_are_fetched_by_name(sheets: tuple[str, ...]) -> None:
    found = drawing.fetcher(pdf.static_folders()).fetch("https://static.invalid/print/test.css")
    assert b"size: A4" in found.read()
    assert found.content_type == "text/css"


def test_rendering_asks_no_server(sheets: tuple[str, ...]) -> None:
    asked: list[str] = []

    class Ear(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            asked.append(self.path)
            self.send_response(200)
            self.end_headers()

    server = HTTPServer(("127.0.0.1", 0), Ear)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        base = f"http://127.0.0.1:{server.server_port}"
        html = (
            f"<link rel=stylesheet href='{base}/a.css'><p>Kept</p><img src='{base}/b.png' alt=''>"
            f"<div style='background: url({base}/c.png)'>x</div><object data='{base}/d'></object>"
        )
        assert "Kept" in text_of(pdf.html_to_pdf(html, sheets=sheets))
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
    assert asked == []


ORDER = drawing.Order("<p>Bow locker</p>", (), ())


@pytest.fixture
def press() -> Iterator[Press]:
    press = Press()
    yield press
    press.close()


def test_the_renderer_is_not_in_this_process(press: Press) -> None:
    loaded = "import sys; from fitout.kit import pdf; print('weasyprint' in sys.modules)"
    assert subprocess.check_output([sys.executable, "-c", loaded], text=True).strip() == "False"
    assert "Bow locker" in text_of(press.draw(ORDER))


def test_one_process_draws_one_document_after_another(press: Press) -> None:
    press.draw(ORDER)
    first = press._process
    assert first is not None
    press.draw(ORDER)
    assert press._process is first


def test_a_process_that_has_ended_is_started_again(press: Press) -> None:
    press.draw(ORDER)
    assert press._process is not None
    press._process.kill()
    assert press.draw(ORDER).startswith(b"%PDF-")


def test_what_is_wrong_with_a_document_is_told_and_the_next_is_drawn(press: Press) -> None:
    with pytest.raises(CannotDraw, match=r"no static file 'print/none\.css'"):
        press.draw(drawing.Order("<p>Lost", ("print/none.css",), ()))
    assert press.draw(ORDER).startswith(b"%PDF-")


def test_a_document_without_end_is_given_up() -> None:
    hasty = Press(limit_s=0.001)
    with pytest.raises(CannotDraw, match=r"more than 0\.001 s"):
        hasty.draw(ORDER)
    assert hasty._process is None


def test_the_process_ends_when_nobody_asks() -> None:
    ask = "from fitout.kit import drawing; drawing.IDLE_S = 0.01; drawing.main()"
    with subprocess.Popen([sys.executable, "-c", ask], stdin=subprocess.PIPE) as idle:
        assert idle.wait(timeout=30) == 0


def test_nothing_is_left_of_a_process_that_has_ended(press: Press) -> None:
    """Not even an entry in the table of processes, though nobody asks for a document again."""
    press.draw(ORDER)
    process = press._process
    assert process is not None and process.stdin is not None
    os.kill(process.pid, signal.SIGKILL)
    until = time.monotonic() + 30
    while press._process is not None and time.monotonic() < until:
        time.sleep(0.01)
    assert press._process is None
    assert process.stdin.closed
    with pytest.raises(ChildProcessError):
        os.waitpid(process.pid, os.WNOHANG)
    assert press.draw(ORDER).startswith(b"%PDF-")


def test_the_print_sheet_brings_its_own_fonts_and_frame() -> None:
    content = pdf.html_to_pdf(
        "<html lang='en'><title>Sheet</title><h1>Name plate</h1><p>Words — 6 mm² and 12 Ω</p>"
    )
    reader = PdfReader(io.BytesIO(content))
    fonts = {
        str(font.get_object()["/BaseFont"])
        for font in reader.pages[0]["/Resources"]["/Font"].values()  # type: ignore[index]
    }
    assert any("Asap" in name for name in fonts), fonts
    assert any("Besley" in name for name in fonts), fonts
    assert reader.metadata is not None
    assert reader.metadata.title == "Sheet"
