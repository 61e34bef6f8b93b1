"""A joint choice in words: what changes, what stays and why, what cannot be met."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Any

from catalogue.models import Part
from electrical.listing import NBSP, cable_text
from electrical.models import Circuit, JointChoice
from fitout.kit.money import money_text, quantity_text
from fitout.kit.text import in_thousands

COLUMNS = (
    ("now", "As it stands"),
    ("one", "One circuit at a time"),
    ("together", "All together"),
)
#: Less than this is no difference worth telling.
SAME_COST, SAME_KG, LEAST_SHOWN_KG = 0.005, 0.0005, 0.05


@dataclass(frozen=True)
class Line:
    """One circuit of a joint choice."""

    circuit: Circuit
    row: Mapping[str, Any]
    parts: Mapping[int, Part]
    currency: str

    def cable(self, fit: str) -> str:
        part = self.parts.get(self.row[fit]["cable_id"] or 0)
        return cable_text(part) or "none"

    def fuse(self, fit: str) -> str:
        near = fuse_text(self.parts.get(self.row[fit]["protection_id"] or 0))
        far = fuse_text(self.parts.get(self.row[fit]["end_protection_id"] or 0))
        if near and far:
            return f"{near}, far end {far}"
        return near or (f"far end {far}" if far else "none")

    @property
    def cables(self) -> tuple[str, str]:
        return self.cable("now"), self.cable("together")

    @property
    def fuses(self) -> tuple[str, str]:
        return self.fuse("now"), self.fuse("together")

    @property
    def one_at_a_time(self) -> str:
        return f"{self.cable('one')}, {self.fuse('one')}"

    @property
    def is_changed(self) -> bool:
        now, then = self.row["now"], self.row["together"]
        return any(now[name] != then[name] for name in now if name.endswith("_id"))

    @property
    def cost_change(self) -> str:
        now, then = self.row["now"]["cost"], self.row["together"]["cost"]
        return "" if None in (now, then) else signed_money(then - now, self.currency)

    @property
    def mass_change(self) -> str:
        return signed_kg(self.row["together"]["mass_kg"] - self.row["now"]["mass_kg"])


@dataclass(frozen=True)
class JointPage:
    choice: JointChoice
    currency: str = "EUR"

    @cached_property
    def circuits(self) -> dict[int, Circuit]:
        return {c.pk: c for c in Circuit.objects.filter(job=self.choice.job)}

    @cached_property
    def parts(self) -> dict[int, Part]:
        fits = [row[name] for row in self.choice.found["rows"] for name, _ in COLUMNS]
        ids = {fit[key] for fit in fits for key in fit if key.endswith("_id")}
        related = ("cabledata", "protectivedevicedata")
        return Part.objects.select_related(*related).in_bulk([pk for pk in ids if pk])

    @cached_property
    def lines(self) -> list[Line]:
        rows = self.choice.found["rows"]
        known = [row for row in rows if row["circuit_id"] in self.circuits]
        return [
            Line(self.circuits[row["circuit_id"]], row, self.parts, self.currency) for row in known
        ]

    @cached_property
    def is_out_of_date(self) -> bool:
        """Whether a circuit was made, changed or removed since."""
        then = {row["circuit_id"]: row["version"] for row in self.choice.found["rows"]}
        return then != {pk: circuit.version for pk, circuit in self.circuits.items()}

    @property
    def changed(self) -> list[Line]:
        return [line for line in self.lines if line.is_changed]

    @property
    def unmet(self) -> list[Line]:
        return [line for line in self.lines if line.row["unmet"]]

    @property
    def untold(self) -> list[Line]:
        return [line for line in self.lines if line.row["missing"] and not line.row["unmet"]]

    @property
    def kept(self) -> list[Line]:
        return [line for line in self.lines if line.row["kept"]]

    @property
    def same(self) -> list[Line]:
        others = {line.circuit.pk for line in (*self.unmet, *self.untold, *self.kept)}
        return [
            line for line in self.lines if not line.is_changed and line.circuit.pk not in others
        ]

    @property
    def columns(self) -> list[tuple[str, Mapping[str, Any], str, str]]:
        """Name, figures, cost and mass of each way of fitting out."""
        found = self.choice.found["columns"]
        return [
            (words, found[name], self._cost(found[name]["cost"]), kg_text(found[name]["mass_kg"]))
            for name, words in COLUMNS
        ]

    def _cost(self, cost: float | None) -> str:
        return "not known" if cost is None else money_text(Decimal(str(cost)), self.currency)

    @property
    def saving(self) -> str:
        """What it costs less than what stands; empty where that is not known."""
        return self._difference("cost")

    @property
    def gap(self) -> str:
        """The most a cheaper choice could still save; empty where that is not known."""
        amount = self.choice.found.get("cheaper_by")
        return money_text(Decimal(str(amount)), self.currency) if amount else ""

    @property
    def lighter(self) -> str:
        return self._difference("mass_kg")

    def _difference(self, name: str) -> str:
        found = self.choice.found["columns"]
        now, then = found["now"][name], found["together"][name]
        if None in (now, then):
            return ""
        return signed_money(then - now, self.currency) if name == "cost" else signed_kg(then - now)

    @property
    def kind(self) -> str:
        return "attention" if self.unmet else "pass" if self.choice.found["is_proven"] else "note"


def fuse_text(part: Part | None) -> str:
    """Rating and kind, without the standard it is made to."""
    data = getattr(part, "protectivedevicedata", None)
    if data is None:
        return ""
    kind = data.get_device_display().split(",")[0]
    kind = kind[0].lower() + kind[1:]
    return f"{quantity_text(data.rating_a)}{NBSP}A {kind}"


def kg_text(mass_kg: float) -> str:
    return f"{in_thousands(f'{mass_kg:.1f}')}{NBSP}kg"


def signed_kg(mass_kg: float) -> str:
    if abs(mass_kg) < SAME_KG:
        return "the same"
    size = kg_text(abs(mass_kg)) if abs(mass_kg) >= LEAST_SHOWN_KG else f"under 0.1{NBSP}kg"
    return f"{size} {'more' if mass_kg > 0 else 'less'}"


def signed_money(amount: float, currency: str) -> str:
    if abs(amount) < SAME_COST:
        return "the same"
    return f"{money_text(Decimal(str(abs(amount))), currency)} {'more' if amount > 0 else 'less'}"
