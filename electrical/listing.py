"""Circuits as lists, drawings and documents show them: every value already worded."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from catalogue.models import CableData, Part
from electrical.adapters.circuits import function_words
from electrical.adapters.design import has_mains
from electrical.check import Checked
from electrical.colours import WireColour, colour_named, wire_colour
from electrical.core.findings import RuleSet, Severity
from electrical.facts import Facts
from electrical.labels import label_order, labels_together
from electrical.models import Circuit, Device
from electrical.schematic.content import Branch
from fitout.kit.money import quantity_text
from fitout.kit.text import in_thousands

NBSP = "\N{NO-BREAK SPACE}"
#: What a drawing calls out; the rest stands in the findings and in the list.
MARKED = frozenset({Severity.STOP, Severity.ATTENTION})


@dataclass(frozen=True)
class CircuitRow:
    circuit: Circuit
    origin: Device
    ends: tuple[Device, ...]
    zone_code: str
    zone_name: str
    cable: str
    wire: WireColour
    ways: str
    length_m: float | None
    is_measured: bool
    load_a: float | None
    fuse: str
    end_fuse: str
    protection: str
    """Every device of the circuit with rating and kind, and where it is when not at the source."""
    switch: str
    drop_pct: float | None
    limit_pct: float | None
    severity: Severity
    finding_number: int | None

    @property
    def kind(self) -> str:
        """Severity as the stylesheet and the verdict mark name it."""
        return self.severity.value.replace(" ", "_")

    @property
    def label(self) -> str:
        return self.circuit.label

    @property
    def from_text(self) -> str:
        position = self.circuit.board_position
        return f"{self.origin.label}, way {position}" if position else self.origin.label

    @property
    def after_opening(self) -> str:
        return after_opening(self.circuit)

    @property
    def to_text(self) -> str:
        return labels_together(self.ends) or "nothing"

    @property
    def run_text(self) -> str:
        """Cable, letters of its colour and length together, as on a drawing."""
        length = f"{self.length_m:.1f}{NBSP}m" if self.length_m is not None else ""
        letters = self.wire.letters if self.cable else ""
        return " ".join(words for words in (self.cable, letters, length) if words)


def cable_text(part: Part | None, in_parallel: int = 1) -> str:
    """`2 × 35 mm²` for two conductors in parallel per pole, `2×1.5 mm²` for two cores."""
    data = getattr(part, "cabledata", None)
    if not isinstance(data, CableData):
        return ""
    if data.size_mm2 is None:
        size = f"{data.size_awg}{NBSP}AWG"
    else:
        size = f"{quantity_text(data.size_mm2)}{NBSP}mm²"
    each = f"{data.cores}×{size}" if data.cores > 1 else size
    return f"{in_parallel}{NBSP}×{NBSP}{each}" if in_parallel > 1 else each


def rating_text(part: Part | None) -> str:
    data = getattr(part, "protectivedevicedata", None)
    return f"{quantity_text(data.rating_a)}{NBSP}A" if data is not None else ""


def protection_text(part: Part | None) -> str:
    """Rating and kind: `5 A panel breaker`."""
    data = getattr(part, "protectivedevicedata", None)
    if data is None:
        return ""
    kind = str(data.get_device_display()).split(",")[0]
    return f"{rating_text(part)} {kind[:1].lower()}{kind[1:]}"


RESET_IT = "find the cause, then reset it"
REPLACE_IT = "find the cause, then fit a new one of the same kind and rating"


def after_opening(circuit: Circuit) -> str:
    """What to do when a protective device of a circuit has opened; empty where it has none."""
    parts = [part for part in (circuit.protection, circuit.end_protection) if part is not None]
    records = [getattr(part, "protectivedevicedata", None) for part in parts]
    resettable = [bool(record.resettable) for record in records if record is not None]
    if not resettable:
        return ""
    if all(resettable):
        return RESET_IT
    if not any(resettable):
        return REPLACE_IT
    return f"a breaker: {RESET_IT}; a fuse: {REPLACE_IT}"


def _devices_text(circuit: Circuit, ends: Iterable[Device]) -> str:
    near, far = protection_text(circuit.protection), protection_text(circuit.end_protection)
    if far:
        far = f"{far} at {labels_together(ends) or 'the far end'}"
    return "; ".join(words for words in (near, far) if words)


def amperes_text(value_a: float) -> str:
    return (
        in_thousands(f"{value_a:.0f}")
        if value_a >= 100
        else f"{value_a:.3g}"
        if value_a >= 1
        else f"{value_a:.2g}"
    )


@dataclass(frozen=True)
class Listing:
    checked: Checked
    numbers: Mapping[int, int]
    """Number of the first finding about a circuit, by circuit."""

    @property
    def facts(self) -> Facts:
        return self.checked.facts

    @cached_property
    def rows(self) -> tuple[CircuitRow, ...]:
        return tuple(self.row(circuit) for circuit in self.facts.circuits)

    @cached_property
    def mains(self) -> bool:
        return has_mains(self.facts)

    def row(self, circuit: Circuit) -> CircuitRow:
        facts, checked = self.facts, self.checked
        result, run = checked.result_of(circuit), checked.runs[circuit.pk]
        drop = result.drop if result else None
        ends = tuple(sorted(facts.ends_of(circuit), key=label_order))
        zone = facts.zone_by_id.get(ends[-1].zone_id) if ends else None
        return CircuitRow(
            circuit=circuit,
            origin=facts.origin_of(circuit),
            ends=ends,
            zone_code=zone.code if zone else "",
            zone_name=zone.name if zone else "",
            cable=cable_text(circuit.cable, circuit.in_parallel),
            wire=self.wire(circuit),
            ways=self._ways(run.segment_ids),
            length_m=run.length_m,
            is_measured=run.is_measured,
            load_a=result.currents.design_a if result and result.currents else None,
            fuse=rating_text(circuit.protection),
            end_fuse=rating_text(circuit.end_protection),
            protection=_devices_text(circuit, ends),
            switch=", ".join(device.label for device in facts.in_line(circuit)),
            drop_pct=drop.total_pct if drop else None,
            limit_pct=drop.limit_pct if drop else None,
            severity=checked.severity_of(circuit),
            finding_number=self.numbers.get(circuit.pk),
        )

    def _ways(self, segment_ids: tuple[str, ...]) -> str:
        names = {str(segment.pk): segment.cableway for segment in self.facts.segments}
        return ", ".join(dict.fromkeys(names[i] for i in segment_ids if i in names))

    def wire(self, circuit: Circuit) -> WireColour:
        """The colour of the cable chosen; else the one the function asks for."""
        rule_set = RuleSet(self.facts.job.rule_set)
        by_function = wire_colour(function_words(self.facts, circuit), rule_set)
        colour = getattr(getattr(circuit.cable, "cabledata", None), "colour", "")
        return colour_named(colour, by_function.clause) if colour else by_function

    def branches(self) -> dict[int, Branch]:
        """Every circuit as the diagram draws it, its end left open."""
        return {row.circuit.pk: _branch(row) for row in self.rows}


def _branch(row: CircuitRow) -> Branch:
    is_marked = row.finding_number is not None and row.severity in MARKED
    return Branch(
        circuit_id=row.circuit.pk,
        tag=row.label,
        name=row.circuit.name,
        fuse=row.fuse,
        end_fuse=row.end_fuse,
        switch=row.switch,
        wire=row.wire.ink if row.cable else "",
        wire_word=row.wire.word,
        cable=row.run_text,
        always_live=row.circuit.always_live,
        load=f"{amperes_text(row.load_a)}{NBSP}A" if row.load_a is not None else "",
        drop=f"{row.drop_pct:.1f}{NBSP}%" if row.drop_pct is not None else "",
        mark=row.severity.value.replace(" ", "-") if is_marked else "",
        mark_number=str(row.finding_number) if is_marked else "",
    )
