"""Protective devices that stand on the build sheet, for the circuits that may take them.

What a kit brings is for what the kit feeds. What stands alone, or in a kit that feeds nothing, is
for the circuits of its zone first: those that start there or feed something there.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from catalogue.models import PartKind
from electrical.facts import Facts
from electrical.models import Circuit, CircuitRole, Device
from fitout.jobs.models import LineKind
from fitout.jobs.sheet import sheet_lines

#: Leads of a source are part of the set the source comes in.
SOURCE_ROLES = frozenset({CircuitRole.SOURCE, CircuitRole.CHARGING})

Taken = Iterable[tuple[int, int]]
"""Circuit and part, once for each piece."""


class Place(NamedTuple):
    """Where pieces stand on the sheet; neither kit nor zone where no circuit is near."""

    kit: int | None = None
    zone: int | None = None

    @property
    def is_for_any(self) -> bool:
        return self.kit is None


@dataclass(frozen=True)
class OnHand:
    near: Mapping[int, tuple[Place, ...]]
    """Places by circuit: its kits, the innermost first, then its zones."""
    pieces: Mapping[Place, Counter[int]]
    """Pieces by part, by place."""

    def left_for(self, circuit_id: int, others: Taken, *, near_only: bool = False) -> Counter[int]:
        """Pieces by part that one circuit may take when others have taken theirs."""
        left = self._left(others)
        found: Counter[int] = Counter()
        for place in self._places(circuit_id, near_only=near_only):
            found.update(left[place])
        return +found

    def for_any(self, taken: Taken) -> Counter[int]:
        """Pieces by part that nobody has taken and that are for no kit's circuits alone."""
        found: Counter[int] = Counter()
        for place, pieces in self._left(taken).items():
            if place.is_for_any:
                found.update(pieces)
        return +found

    def _left(self, taken: Taken) -> dict[Place, Counter[int]]:
        """Each circuit takes from what is near before anybody takes from elsewhere."""
        left = {place: Counter(pieces) for place, pieces in self.pieces.items()}
        waiting = list(taken)
        for near_only in (True, False):
            waiting = [one for one in waiting if not self._take(left, *one, near_only=near_only)]
        return left

    def _take(
        self, left: Mapping[Place, Counter[int]], circuit_id: int, part_id: int, *, near_only: bool
    ) -> bool:
        for place in self._places(circuit_id, near_only=near_only):
            if left[place][part_id] > 0:
                left[place][part_id] -= 1
                return True
        return False

    def _places(self, circuit_id: int, *, near_only: bool) -> list[Place]:
        near = [place for place in self.near.get(circuit_id, ()) if place in self.pieces]
        far = [
            place
            for place in self.pieces
            if place.is_for_any and place not in near and (place == Place() or not near_only)
        ]
        return [*near, *far]


def on_hand(facts: Facts) -> OnHand:
    lines = sheet_lines(facts.job)
    above = {line.id: line.parent_id for line in lines}
    near = {circuit.pk: _near(facts, circuit, above) for circuit in facts.circuits}
    known = {place for places in near.values() for place in places}
    pieces: defaultdict[Place, Counter[int]] = defaultdict(Counter)
    for line in lines:
        if line.part_id is None or line.part_kind != PartKind.PROTECTIVE_DEVICE:
            continue
        if line.counts and line.kind == LineKind.PART:
            kits = [Place(kit=kit) for kit in _upwards(line.parent_id, above)]
            places = [place for place in (*kits, Place(zone=line.zone_id)) if place in known]
            pieces[next(iter(places), Place())][line.part_id] += int(line.effective_quantity)
    return OnHand(near=near, pieces=dict(pieces))


def _near(facts: Facts, circuit: Circuit, above: Mapping[int, int | None]) -> tuple[Place, ...]:
    """Kits that hold what the circuit feeds, or the source whose lead it is; zones of its ends."""
    origin, ends = facts.origin_of(circuit), facts.ends_of(circuit)
    brought = [*facts.devices_of(circuit), *([origin] if circuit.role in SOURCE_ROLES else ())]
    kits = [Place(kit=kit) for device in brought for kit in _kits_of(device, above)]
    zones = [Place(zone=device.zone_id) for device in (origin, *ends)]
    return tuple(dict.fromkeys((*kits, *zones)))


def _kits_of(device: Device, above: Mapping[int, int | None]) -> list[int]:
    return _upwards(above.get(device.line_id), above)


def _upwards(line_id: int | None, above: Mapping[int, int | None]) -> list[int]:
    found = []
    while line_id is not None:
        found.append(line_id)
        line_id = above.get(line_id)
    return found
