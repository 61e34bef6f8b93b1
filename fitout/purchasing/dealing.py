"""Deal out what stands on the build sheet to the circuits that name the same part.

A kit is sold with its breaker, and the circuit it feeds names the same one: what stands on the
sheet goes to circuits first, in their order, and only the rest is bought beside it. A task is
then given the lines less what circuits take of them, and the circuits in full.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from catalogue.models import PartKind
from electrical.needs import CircuitNeed
from fitout.jobs.models import LineKind
from fitout.jobs.sheet import SheetLine

ZERO = Decimal(0)
SHARED_KINDS = frozenset(
    {PartKind.PROTECTIVE_DEVICE, PartKind.FUSE_HOLDER, PartKind.CABLE, PartKind.TERMINAL}
)


@dataclass(frozen=True, kw_only=True)
class Dealt:
    from_sheet: tuple[tuple[CircuitNeed, Decimal], ...]
    """Each need of a circuit, and how much of it stands on the build sheet."""
    left: Mapping[int, Decimal]
    """By bought line what no circuit takes."""


def deal(lines: Iterable[SheetLine], needs: Iterable[CircuitNeed]) -> Dealt:
    """Lines and needs both in their order, so that every reader deals out alike."""
    left: dict[int, Decimal] = {}
    of_part: defaultdict[int, list[int]] = defaultdict(list)
    for line in filter(is_bought, lines):
        left[line.id] = line.effective_quantity
        if line.part_kind in SHARED_KINDS and line.part_id is not None:
            of_part[line.part_id].append(line.id)
    from_sheet = []
    for need in needs:
        wanted = need.quantity
        for line_id in of_part[need.part.pk]:
            taken = min(wanted, left[line_id])
            left[line_id] -= taken
            wanted -= taken
        from_sheet.append((need, need.quantity - wanted))
    return Dealt(from_sheet=tuple(from_sheet), left=left)


def is_bought(line: SheetLine) -> bool:
    """Parts that count; what the customer brings is not bought."""
    return line.kind == LineKind.PART and line.counts and line.part_id is not None
