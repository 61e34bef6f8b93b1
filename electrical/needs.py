"""What the circuits are made of, for purchasing: cable, protection, terminals, labels."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from catalogue.models import CableData, Category, Part, PartKind, Unit
from catalogue.models.electrical_data import TerminalForm
from electrical.adapters.circuits import size_of
from electrical.adapters.routes import runs_of
from electrical.core.conductors import area_mm2
from electrical.facts import Facts, load_facts
from electrical.models import Circuit, CircuitRole, Device
from electrical.wiring.offer import Offer, cost_of
from fitout.jobs.models import Job

#: Up to this size conductors are crimped with rings and joined to a device's tails.
SMALL_MM2 = 6.0
#: Stud a terminal is wanted for, by what it is fitted to [mm]. Common practice, no source.
STUDS_MM = {PartKind.BOARD: 4, PartKind.BUSBAR: 8, PartKind.BATTERY: 8}
OTHER_STUD_MM = 6
LABEL_WORDS = "cable label"


@dataclass(frozen=True, kw_only=True)
class CircuitNeed:
    part: Part
    quantity: Decimal
    circuit: Circuit


def needs(job: Job) -> list[CircuitNeed]:
    return needs_of(load_facts(job))


def needs_of(facts: Facts) -> list[CircuitNeed]:
    """Each part a circuit takes; a two-core cable carries both conductors in one length."""
    stock, runs = Stock(facts), runs_of(facts)
    found: list[CircuitNeed] = []
    for circuit in facts.circuits:
        parts = stock.of_circuit(circuit, runs[circuit.pk].length_m)
        found += [
            CircuitNeed(part=part, quantity=quantity, circuit=circuit) for part, quantity in parts
        ]
    return found


@dataclass(frozen=True)
class Stock:
    """The parts of the catalogue a circuit may take, read once for the whole job."""

    facts: Facts

    @cached_property
    def offer(self) -> Offer:
        return Offer(self.facts)

    @cached_property
    def terminals(self) -> list[Part]:
        parts = Part.objects.active().filter(kind=PartKind.TERMINAL).with_cost()
        return list(parts.select_related("terminaldata").exclude(terminaldata=None))

    @cached_property
    def holders(self) -> list[Part]:
        parts = Part.objects.active().filter(kind=PartKind.FUSE_HOLDER).with_cost()
        return list(parts.select_related("fuseholderdata").exclude(fuseholderdata=None))

    @cached_property
    def label(self) -> Part | None:
        parts = Part.objects.active().filter(category=Category.TERMINALS, kind=PartKind.GENERAL)
        return parts.filter(description__icontains=LABEL_WORDS).order_by("code").first()

    def of_circuit(
        self, circuit: Circuit, length_m: float | None
    ) -> Iterator[tuple[Part, Decimal]]:
        yield from self._cable(circuit, length_m)
        yield from self._protection(circuit)
        yield from self._terminals(circuit)
        if self.label is not None:
            each_end = 1 if self.label.unit == Unit.PAIR else 2
            yield self.label, Decimal(each_end)

    def _cable(self, circuit: Circuit, length_m: float | None) -> Iterator[tuple[Part, Decimal]]:
        """Single cores go out in the function's colour and come back in the negative's."""
        if circuit.cable is None or length_m is None:
            return
        metres = Decimal(f"{length_m:.1f}") * circuit.in_parallel
        negative = self.offer.negative_of(circuit.cable)
        if circuit.cable.cabledata.cores >= 2:
            yield circuit.cable, metres
        elif negative.pk == circuit.cable.pk:
            yield circuit.cable, 2 * metres
        else:
            yield circuit.cable, metres
            yield negative, metres

    def _protection(self, circuit: Circuit) -> Iterator[tuple[Part, Decimal]]:
        """A board holds its fuses itself; anywhere else each device needs a holder."""
        origin, end = self.facts.origin_of(circuit), self.facts.far_point(circuit)
        for part, at in ((circuit.protection, origin), (circuit.end_protection, end)):
            if part is None:
                continue
            yield part, Decimal(1)
            holder = None if at is not None and at.kind == PartKind.BOARD else self._holder(part)
            if holder is not None:
                yield holder, Decimal(1)

    def _holder(self, device: Part) -> Part | None:
        data = device.protectivedevicedata
        fitting = [
            part
            for part in self.holders
            if part.fuseholderdata.takes == data.device
            and part.fuseholderdata.rated_a >= data.rating_a
            and part.fuseholderdata.ways == 1
        ]
        return min(fitting, key=cost_of, default=None)

    def _terminals(self, circuit: Circuit) -> Iterator[tuple[Part, Decimal]]:
        """Two conductors with two ends each; a small load is joined to its own tails."""
        data = getattr(circuit.cable, "cabledata", None)
        if not isinstance(data, CableData):
            return
        mm2, end = area_mm2(size_of(data)), self.facts.far_point(circuit)
        near = self._terminal(mm2, self.facts.origin_of(circuit), is_joint=False)
        loads = self.facts.loads_of(circuit)
        is_joint = end is None and mm2 <= SMALL_MM2
        far = self._terminal(mm2, end or next(iter(loads), None), is_joint=is_joint)
        if near is not None:
            yield near, Decimal(2 * circuit.in_parallel)
        if far is not None:
            # The negative of an emergency lead runs on to the other battery without a joint.
            poles = 1 if circuit.role == CircuitRole.LINK else 2
            conductors = poles * circuit.in_parallel
            yield far, Decimal(conductors * max(1, len(loads)))

    def _terminal(self, mm2: float, at: Device | None, *, is_joint: bool) -> Part | None:
        form = TerminalForm.BUTT if is_joint else ring_or_lug(mm2)
        fitting = [part for part in self.terminals if takes(part, form, mm2)]
        if is_joint:
            return min(fitting, key=cost_of, default=None)
        wanted = STUDS_MM.get(PartKind(at.kind), OTHER_STUD_MM) if at else OTHER_STUD_MM
        return nearest_stud(fitting, wanted)


def ring_or_lug(mm2: float) -> str:
    return TerminalForm.RING if mm2 <= SMALL_MM2 else TerminalForm.LUG


def takes(part: Part, form: str, mm2: float) -> bool:
    data = part.terminaldata
    return data.form == form and float(data.min_mm2) <= mm2 <= float(data.max_mm2)


def nearest_stud(parts: Iterable[Part], wanted_mm: int) -> Part | None:
    """The smallest hole that takes the stud, else the largest there is."""
    by_stud = sorted(parts, key=lambda part: float(part.terminaldata.stud_mm or 0))
    fitting = [part for part in by_stud if float(part.terminaldata.stud_mm or 0) >= wanted_mm]
    return next(iter(fitting), by_stud[-1] if by_stud else None)
