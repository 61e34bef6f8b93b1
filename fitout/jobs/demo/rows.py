"""Build sheets of the demo as tables: one row a line, `place` rows below a kit."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from fitout.jobs.sheet.adding import Point

DATA = Path(__file__).parent / "data"


@dataclass(frozen=True)
class DemoRow:
    zone: str
    kind: str
    item: str
    quantity: Decimal
    hours: Decimal | None
    at: Point | None
    choice: str
    conditions: tuple[str, ...]
    amount: Decimal | None
    description: str
    note: str


def read_rows(name: str) -> list[DemoRow]:
    with (DATA / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return [_row(raw) for raw in csv.DictReader(file)]


def _row(raw: dict[str, str]) -> DemoRow:
    place = [raw["x"], raw["y"], raw["z"]]
    return DemoRow(
        zone=raw["zone"],
        kind=raw["kind"],
        item=raw["item"],
        quantity=Decimal(raw["quantity"] or 1),
        hours=_number(raw["hours"]),
        at=(Decimal(place[0]), Decimal(place[1]), Decimal(place[2])) if all(place) else None,
        choice=raw["choice"] or "included",
        conditions=tuple(filter(None, raw["conditions"].split(","))),
        amount=_number(raw["amount"]),
        description=raw["description"],
        note=raw["note"],
    )


def _number(text: str) -> Decimal | None:
    return Decimal(text) if text else None
