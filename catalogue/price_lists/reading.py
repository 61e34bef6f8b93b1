"""A price list file, CSV or XLSX, as rows of text. Nothing in it is believed or computed."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import islice
from typing import Any

from django.core.exceptions import ValidationError

MAX_BYTES = 5 * 1024 * 1024
MAX_UNPACKED_BYTES = 60 * 1024 * 1024
MAX_ROWS = 5000
MAX_COLUMNS = 60
LONGEST_CELL = 300
MEGABYTE = 1024 * 1024

HEADINGS = {
    "supplier_code": ("supplier code", "their code", "article", "item", "code"),
    "our_code": ("our code", "your code", "part", "part code"),
    "cost": ("cost", "cost each", "price", "net price", "unit price"),
    "pack_quantity": ("pack", "pack quantity", "per pack"),
    "minimum_order": ("minimum", "minimum order"),
    "lead_days": ("lead", "lead days", "lead time", "lead time days"),
    "description": ("description", "text", "name"),
}
NEEDED = ("supplier_code", "cost")


@dataclass(frozen=True)
class Table:
    columns: dict[str, str]
    ignored: list[str]
    rows: list[dict[str, Any]]


def read_table(name: str, content: bytes) -> Table:
    """The rows of the file, or a ValidationError that says what is wrong with it."""
    if len(content) > MAX_BYTES:
        raise ValidationError(f"{MAX_BYTES // MEGABYTE} MB at most.")
    if not content.strip():
        raise ValidationError("the file is empty.")
    lines = _xlsx_lines(content) if content.startswith(b"PK") else _csv_lines(name, content)
    heads, *body = lines or [[]]
    if len(heads) > MAX_COLUMNS:
        raise ValidationError(f"{MAX_COLUMNS} columns at most, not {len(heads)}.")
    if len(body) > MAX_ROWS:
        raise ValidationError(f"{MAX_ROWS:,} rows at most, not {len(body):,}.")
    columns = _columns(heads)
    if not body:
        raise ValidationError("there is no row below the headings.")
    ignored = [head for head in heads if head and head not in columns.values()]
    places = {ours: heads.index(head) for ours, head in columns.items()}
    return Table(columns, ignored, [_row(i, cells, places) for i, cells in enumerate(body, 2)])


def _columns(heads: Sequence[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for ours, words in HEADINGS.items():
        for word in words:
            head = next((h for h in heads if _plain(h) == word), None)
            if head is not None and head not in found.values():
                found[ours] = head
                break
    for ours in NEEDED:
        if ours not in found:
            wanted = " or ".join(f"“{word}”" for word in HEADINGS[ours])
            raise ValidationError(f"no column is headed {wanted}.")
    return found


def _plain(head: str) -> str:
    return " ".join(head.lower().replace("_", " ").replace("-", " ").split())


def _row(line: int, cells: Sequence[str], places: dict[str, int]) -> dict[str, Any]:
    row: dict[str, Any] = {"line": line}
    for ours, place in places.items():
        text = cells[place].strip() if place < len(cells) else ""
        row[ours] = text[: LONGEST_CELL + 1]
    return row


def _csv_lines(name: str, content: bytes) -> list[list[str]]:
    if not name.lower().endswith((".csv", ".txt")):
        raise ValidationError("send a CSV or an XLSX file.")
    text = _decoded(content)
    if "\0" in text:
        raise ValidationError("this is not a text file.")
    cells = csv.reader(io.StringIO(text, newline=""), delimiter=_separator(text))
    try:
        lines = [line for line in map(_texts, islice(cells, MAX_ROWS + 2)) if line]
    except csv.Error as error:
        raise ValidationError("its rows cannot be told apart.") from error
    if any(len(line) > len(lines[0]) for line in lines):
        raise ValidationError("its rows do not all have the same columns.")
    return lines


def _decoded(content: bytes) -> str:
    for encoding in ("utf-8-sig", "cp1252"):
        try:
            return content.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise ValidationError("its letters cannot be read; save it as UTF-8.")


def _separator(text: str) -> str:
    first = text.lstrip().splitlines()[0]
    return max(";\t,", key=first.count)


def _xlsx_lines(content: bytes) -> list[list[str]]:
    try:
        unpacked = _unpacked_bytes(content)
        lines = [] if unpacked > MAX_UNPACKED_BYTES else _sheet_lines(content)
    except Exception as error:
        raise ValidationError("this workbook cannot be read.") from error
    if unpacked > MAX_UNPACKED_BYTES:
        raise ValidationError(f"{MAX_UNPACKED_BYTES // MEGABYTE} MB at most when unpacked.")
    return lines


def _unpacked_bytes(content: bytes) -> int:
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        return sum(entry.file_size for entry in packed.infolist())


def _sheet_lines(content: bytes) -> list[list[str]]:
    """Row by row, formulas as the values last stored; XML is read through defusedxml."""
    from openpyxl import load_workbook

    book = load_workbook(io.BytesIO(content), read_only=True, data_only=True)
    try:
        sheet: Any = book.worksheets[0]
        rows = sheet.iter_rows(max_row=MAX_ROWS + 2, max_col=MAX_COLUMNS + 1, values_only=True)
        return [line for line in map(_texts, rows) if line]
    finally:
        book.close()


def _texts(cells: Iterable[Any]) -> list[str]:
    texts = [_cell_text(cell) for cell in cells]
    while texts and not texts[-1]:
        texts.pop()
    return texts


def _cell_text(cell: Any) -> str:
    if cell is None:
        return ""
    if isinstance(cell, float):
        return f"{cell:.10f}".rstrip("0").rstrip(".")
    if isinstance(cell, datetime | date):
        return cell.isoformat()[:10]
    return str(cell).strip()
