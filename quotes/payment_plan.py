"""The payment stages of a quote, written one a line: `30, On acceptance`."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

MOST_STAGES = 12


class BadPlan(ValueError):
    """A sentence for the person who wrote the plan."""


@dataclass(frozen=True)
class Share:
    share_pct: Decimal
    name: str


def parse(text: str) -> tuple[Share, ...]:
    shares = tuple(
        _share(number, line) for number, line in enumerate(text.splitlines(), 1) if line.strip()
    )
    if not shares:
        raise BadPlan("Payment stages: write at least one, such as “100, On handover”.")
    if len(shares) > MOST_STAGES:
        raise BadPlan(f"Payment stages: {MOST_STAGES} at most, not {len(shares)}.")
    total = sum(share.share_pct for share in shares)
    if total != 100:
        raise BadPlan(f"Payment stages: they sum to {total} %; 100 % needed.")
    return shares


def _share(number: int, line: str) -> Share:
    share, comma, name = line.partition(", ")
    if not comma:
        share, comma, name = line.partition(",")
    name = name.strip()
    if not comma or not name:
        raise BadPlan(f"Payment stages, line {number}: write percent, comma, name.")
    try:
        share_pct = Decimal(share.strip().rstrip("%").strip().replace(",", "."))
    except InvalidOperation:
        raise BadPlan(
            f"Payment stages, line {number}: {share.strip()[:20]!r} is not a percentage."
        ) from None
    if not share_pct.is_finite() or not 0 < share_pct <= 100:
        raise BadPlan(f"Payment stages, line {number}: above 0 and at most 100 %.")
    if share_pct != share_pct.quantize(Decimal("0.01")):
        raise BadPlan(f"Payment stages, line {number}: two decimals at most.")
    if len(name) > 80:
        raise BadPlan(f"Payment stages, line {number}: name of at most 80 characters.")
    return Share(share_pct, name)
