"""Protective devices that stand on the build sheet, for the circuits that may take them.

What a kit brings is for what the kit feeds; what stands alone, or in a kit that feeds nothing,
is for any circuit.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from catalogue.models import PartKind
from electrical.facts import Facts
from electrical.models import Circuit, CircuitRole
from fitout.jobs.models import LineKind
from fitout.jobs.sheet import sheet_lines

#: Leads of a source are part of the set the source comes in.
SOURCE_ROLES = frozenset({CircuitRole.SOURCE, CircuitRole.CHARGING})

Taken = Iterable[tuple[int, int]]
"""Circuit and part, once for each piece."""


@dataclass(frozen=True)
class OnHand:
    kits_of: Mapping[int, tuple[int, ...]]
    """Lines of kits by circuit, the innermost first."""
    in_kit: Mapping[int | None, Counter[int]]
    """Pieces by part; by kit, and under None what is for any circuit."""

    def left_for(self, circuit_id: int, others: Taken) -> Counter[int]:
        """Pieces by part that one circuit may take when others have taken theirs."""
        left = {kit: Counter(pieces) for kit, pieces in self.in_kit.items()}
        for other_id, part_id in others:
            kit = next((k for k in self._places(other_id) if left[k][part_id] > 0), None)
            if left[kit][part_id] > 0:
                left[kit][part_id] -= 1
        found: Counter[int] = Counter()
        for kit in self._places(circuit_id):
            found.update(left[kit])
        return +found

    def _places(self, circuit_id: int) -> Iterator[int | None]:
        yield from (kit for kit in self.kits_of.get(circuit_id, ()) if kit in self.in_kit)
        yield None


def on_hand(facts: Facts) -> OnHand:
    lines = sheet_lines(facts.job)
    above = {line.id: line.parent_id for line in lines}
    kits_of = {circuit.pk: _kits(facts, circuit, above) for circuit in facts.circuits}
    feeding = {kit for kits in kits_of.values() for kit in kits}
    in_kit: defaultdict[int | None, Counter[int]] = defaultdict(Counter, {None: Counter()})
    for line in lines:
        if line.part_id is None or line.part_kind != PartKind.PROTECTIVE_DEVICE:
            continue
        if line.counts and line.kind == LineKind.PART:
            kit = next((k for k in _upwards(line.parent_id, above) if k in feeding), None)
            in_kit[kit][line.part_id] += int(line.effective_quantity)
    return OnHand(kits_of=kits_of, in_kit=dict(in_kit))


def _kits(facts: Facts, circuit: Circuit, above: Mapping[int, int | None]) -> tuple[int, ...]:
    """Kits that hold what the circuit feeds, or the source whose lead it is."""
    devices = list(facts.devices_of(circuit))
    if circuit.role in SOURCE_ROLES:
        devices.append(facts.origin_of(circuit))
    kits = (kit for device in devices for kit in _upwards(above.get(device.line_id), above))
    return tuple(dict.fromkeys(kits))


def _upwards(line_id: int | None, above: Mapping[int, int | None]) -> Iterator[int]:
    while line_id is not None:
        yield line_id
        line_id = above.get(line_id)
