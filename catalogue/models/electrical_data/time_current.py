"""A maker's time-current curve as people type it: a row for each multiple of the rating."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from django.core.exceptions import ValidationError

from fitout.kit.money import quantity_text
from fitout.kit.numbers import parse_number

MOST_ROWS = 12
LARGEST_MULTIPLE = 1000
LONGEST_S = 1_000_000
SHORTEST_S = Decimal("0.0001")
NEED_NOT_OPEN = ("-", "–")


@dataclass(frozen=True)
class CurveRow:
    """`longest_s` is None where the device need not open."""

    multiple: Decimal
    shortest_s: Decimal
    longest_s: Decimal | None


def read_curve(text: str) -> tuple[CurveRow, ...]:
    """Rows of times rating, shortest and longest seconds; `ValidationError` names the row."""
    lines = [line for line in text.splitlines() if line.strip()]
    if not lines:
        return ()
    if not 2 <= len(lines) <= MOST_ROWS:
        raise ValidationError(f"write 2 to {MOST_ROWS} rows, not {len(lines)}.")
    rows = [_row(number, line) for number, line in enumerate(lines, 1)]
    for number, (above, row) in enumerate(pairwise(rows), 2):
        _require_order(number, above, row)
    return tuple(rows)


def _row(number: int, line: str) -> CurveRow:
    words = line.replace(";", " ").split()
    if len(words) != 3:
        raise ValidationError(
            f"row {number}: write three values, times rating, shortest s and longest s, "
            "such as 2 0.15 5."
        )
    multiple = _value(number, "times rating", words[0], Decimal(1), LARGEST_MULTIPLE)
    shortest_s = _value(number, "shortest s", words[1], SHORTEST_S, LONGEST_S)
    longest_s = None
    if words[2] not in NEED_NOT_OPEN:
        longest_s = _value(number, "longest s", words[2], SHORTEST_S, LONGEST_S)
        if longest_s < shortest_s:
            raise ValidationError(f"row {number}: the longest time is under the shortest.")
    return CurveRow(multiple, shortest_s, longest_s)


def _value(number: int, name: str, word: str, least: Decimal, most: int) -> Decimal:
    try:
        value = parse_number(word)
    except ValueError as error:
        raise ValidationError(f"row {number}, {name}: “{word[:20]}” is not a number.") from error
    if not least <= value <= most:
        raise ValidationError(f"row {number}, {name}: {least} to {most}.")
    return value


def _require_order(number: int, above: CurveRow, row: CurveRow) -> None:
    if row.multiple <= above.multiple:
        raise ValidationError(f"row {number}: times rating must rise from row to row.")
    if row.shortest_s > above.shortest_s:
        raise ValidationError(f"row {number}: the shortest time must not rise.")
    if above.longest_s is None:
        return
    if row.longest_s is None:
        raise ValidationError(f"row {number}: a larger current opens it too; give a longest time.")
    if row.longest_s > above.longest_s:
        raise ValidationError(f"row {number}: the longest time must not rise.")


def curve_words(text: str) -> str:
    """The curve as a sentence part, for pages and documents."""
    return "; ".join(_words(row) for row in read_curve(text))


def _words(row: CurveRow) -> str:
    shortest = quantity_text(row.shortest_s)
    times = (
        f"not before {shortest} s"
        if row.longest_s is None
        else f"{shortest} to {quantity_text(row.longest_s)} s"
    )
    return f"{quantity_text(row.multiple)} × rating {times}"


def validate_curve(text: str) -> None:
    read_curve(text)
