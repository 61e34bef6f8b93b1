"""One page about a part: what the workshop knows of it, without a word about money."""

from __future__ import annotations

from datetime import date

from catalogue.models import Part
from fitout.kit.pdf import render_pdf


def data_sheet(part: Part, *, today: date) -> bytes:
    return render_pdf("catalogue/print/data_sheet.html", {"part": part, "today": today})
