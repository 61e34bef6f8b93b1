"""A price list file, CSV or XLSX, as rows of text. Nothing in it is believed or computed."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError

MAX_BYTES = 5 * 1024 * 1024
MAX_UNPACKED_BYTES = 60 * 1024 * 1024
MAX_ROWS = 5000
MAX_COLUMNS = 60
LEAST_COLUMNS = 2
LONGEST_CELL = 300
LONGEST_HEADING = 60
MEGABYTE = 1024 * 1024


@dataclass(frozen=True)
class Table:
    """Headings, each different and none empty, and the texts below them."""

    heads: list[str]
    lines: list[list[str]]


def read_table(name: str, content: bytes) -> Table:
    """The cells of the file, or a ValidationError that says what is wrong with it."""
    if len(content) > MAX_BYTES:
        raise ValidationError(f"{MAX_BYTES // MEGABYTE} MB at most.")
    if not content.strip():
        raise ValidationError("the file is empty.")
    lines = _xlsx_lines(content) if content.startswith(b"PK") else _csv_lines(name, content)
    heads, *body = lines or [[]]
    if len(heads) > MAX_COLUMNS:
        raise ValidationError(f"{MAX_COLUMNS} columns at most, not {len(heads)}.")
    if len(heads) < LEAST_COLUMNS:
        raise ValidationError("two columns at least: the supplier’s code and the cost.")
    if len(body) > MAX_ROWS:
        raise ValidationError(f"{MAX_ROWS:,} rows at most, not {len(body):,}.")
    if not body:
        raise ValidationError("there is no row below the headings.")
    return Table(_different(heads), [[cell[: LONGEST_CELL + 1] for cell in row] for row in body])


def _different(heads: Sequence[str]) -> list[str]:
    """A heading that is empty or was there before is told apart by its column."""
    found: list[str] = []
    for place, head in enumerate(heads, 1):
        short = head[:LONGEST_HEADING]
        is_clear = short and short not in found
        found.append(short if is_clear else f"{short} (column {place})".strip())
    return found


def _csv_lines(name: str, content: bytes) -> list[list[str]]:
    import pandas as pd

    if not name.lower().endswith((".csv", ".txt")):
        raise ValidationError("send a CSV or an XLSX file.")
    text = _decoded(content)
    if "\0" in text:
        raise ValidationError("this is not a text file.")
    try:
        frame = pd.read_csv(
            io.StringIO(text, newline=""),
            header=None,
            dtype=str,
            keep_default_na=False,
            sep=_separator(text),
            skip_blank_lines=True,
            nrows=MAX_ROWS + 2,
        )
    except (pd.errors.ParserError, pd.errors.EmptyDataError, ValueError) as error:
        raise ValidationError("its rows do not all have the same columns.") from error
    lines = [line for line in map(_texts, frame.itertuples(index=False)) if line]
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
