"""The rows of a build sheet, read from the database and written out by f-strings only."""

from __future__ import annotations

from html import escape
from typing import Any

from django.http import HttpRequest

from fitout.jobs.access import get_job
from fitout.jobs.page import sheet_page


def page_by_hand(request: HttpRequest, number: int) -> str:
    job = get_job(request, number)
    page = sheet_page(job, money=True)
    base = f"/jobs/{number}/lines/"
    rows = "".join(_row(row, base) for zone in page.zones for row in zone.rows)
    return f'<!doctype html><table id="lines">{rows}</table>'


def _row(row: Any, base: str) -> str:
    line = row.line
    return (
        f'<tr class="{row.classes}" id="line-{line.id}" data-line="{line.code}">'
        f'<td class="id">{line.code}</td><td class="qty n">{row.quantity}</td>'
        f'<td class="unit">{escape(line.unit)}</td><td class="what" dir="auto">'
        f'<a href="{base}{line.id}/" hx-get="{base}{line.id}/" data-act="edit">'
        f'{escape(line.description)}</a></td><td class="code">{escape(line.part_code)}</td>'
        f'<td class="supplier" dir="auto">{escape(line.supplier_name)}</td>'
        f'<td class="cost n">{row.each}</td><td class="labour n">{row.hours}</td>'
        f'<td class="mass n">{row.mass}</td><td class="choice"><button type="button" '
        f'class="chip {row.chip}" hx-post="{base}{line.id}/choice/" data-act="choice" '
        f'title="Change the choice">{row.chip_word}</button></td></tr>'
    )
