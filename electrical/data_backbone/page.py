"""The data backbone in rows and words, for its page and its sheet in the handover pack."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from django.utils.safestring import SafeString, mark_safe

from electrical.core.backbone import BackboneMeasures, DeviceMeasures, SegmentMeasures
from electrical.core.status import least_certain
from electrical.core.tables import data_backbone as table
from electrical.data_backbone.drawing import draw_backbone
from electrical.data_backbone.judging import Judged
from electrical.data_backbone.layout import Tee

NBSP = "\N{NO-BREAK SPACE}"
UNKNOWN = "not known"


@dataclass(frozen=True)
class Row:
    tee: Tee
    before: SegmentMeasures | None
    device: DeviceMeasures | None

    @property
    def length(self) -> str:
        if self.tee.number == 1:
            return "first end"
        if self.tee.before_m is None:
            return UNKNOWN
        return _with(self.tee.before_m, "m") if self.tee.before_m else "joined directly"

    @property
    def current(self) -> str:
        return _with(self.before.current_a if self.before else None, "A")

    @property
    def drop(self) -> str:
        return "" if self.tee.is_feed else _with(self.tee.drop_m, "m")

    @property
    def load(self) -> str:
        if self.tee.is_feed:
            return "supply"
        units = self.tee.load_units
        return UNKNOWN if units is None else "own supply" if units == 0 else str(units)

    @property
    def voltage(self) -> str:
        return _with(self.device.voltage_v if self.device else None, "V")

    @property
    def lost(self) -> str:
        return _with(self.device.drop_v if self.device else None, "V", 3)


@dataclass(frozen=True)
class Fact:
    name: str
    value: str
    limit: str = ""


@dataclass(frozen=True)
class DataPage:
    judged: Judged

    @property
    def measures(self) -> BackboneMeasures | None:
        return self.judged.measures

    @cached_property
    def rows(self) -> list[Row]:
        measures = self.measures
        devices = {d.device.device_id: d for d in measures.devices} if measures else {}
        segments = (None, *(measures.segments if measures else ()))
        return [
            Row(
                tee,
                segments[tee.number - 1] if tee.number <= len(segments) else None,
                devices.get(str(tee.device.pk)),
            )
            for tee in self.judged.layout.tees
        ]

    @cached_property
    def facts(self) -> list[Fact]:
        measures = self.measures
        if measures is None:
            return []
        grades = {segment.segment.cable.grade for segment in measures.segments}
        grade = min((table.GRADES[one] for one in grades), key=lambda g: g.max_length_m)
        known_a = [s.current_a for s in measures.segments if s.current_a is not None]
        most_a = max(known_a, default=None)
        return [
            Fact(
                "Length of the line", _with(measures.length_m, "m", 1), f"{grade.max_length_m:g} m"
            ),
            Fact(
                "All drops together",
                _with(measures.drops_m, "m", 1),
                f"{table.MAX_DROPS_TOGETHER_M:g} m",
            ),
            Fact("Devices", str(len(measures.devices)), str(table.MAX_NODES)),
            Fact("Load units", self._load_units(measures)),
            Fact("Largest current", _with(most_a, "A"), f"{grade.max_current_a:g} A"),
            Fact("Supply", _with(self.supply_v, "V")),
            Fact(
                "Largest drop, solved", _with(measures.worst_drop_v, "V"), f"{table.MAX_DROP_V:g} V"
            ),
            Fact("By the published formula", _with(measures.formula_drop_v, "V")),
        ]

    @staticmethod
    def _load_units(measures: BackboneMeasures) -> str:
        unknown = len(measures.unknown_loads)
        return (
            f"{measures.load_units}, {unknown} not known" if unknown else str(measures.load_units)
        )

    @property
    def supply_v(self) -> float | None:
        supplies = self.measures.backbone.supplies if self.measures else ()
        known = [supply.voltage_v for supply in supplies if supply.voltage_v is not None]
        return max(known) if known and len(known) == len(supplies) else None

    @cached_property
    def limit_sources(self) -> str:
        """Where the limits of the figures are printed; all of them in the same way."""
        clauses = (
            table.LENGTH_CLAUSE,
            table.MAX_DROPS_TOGETHER_CLAUSE,
            table.MAX_NODES_CLAUSE,
            table.CURRENT_CLAUSE,
            table.MAX_DROP_CLAUSE,
        )
        told = "; ".join(clause.clause for clause in clauses)
        status = least_certain(*(clause.status for clause in clauses))
        return f"{clauses[0].source}: {told} ({status.value})"

    @property
    def formula(self) -> str:
        clause = table.DROP_FORMULA_CLAUSE
        return f"{clause} ({clause.status.value})"

    @property
    def drawing(self) -> SafeString:
        # The drawing code escapes every text it is given.
        return mark_safe(draw_backbone(self.judged))  # noqa: S308

    @property
    def print_drawing(self) -> SafeString:
        return mark_safe(draw_backbone(self.judged, for_print=True))  # noqa: S308

    @cached_property
    def parts(self) -> list[tuple[str, str, str]]:
        """What the layout takes against what the build sheet has."""
        layout = self.judged.layout
        pieces = layout.pieces
        return [
            ("Tees", str(len(layout.devices)), str(pieces.tees)),
            ("Terminators", str(table.TERMINATORS), str(pieces.terminators)),
            ("Backbone cable", _with(layout.length_m, "m", 1), _with(pieces.backbone_m, "m", 1)),
            ("Drop cables", str(len(layout.devices)), str(sum(n for _, n in pieces.drops))),
        ]


def _with(value: float | None, unit: str, places: int = 2) -> str:
    return UNKNOWN if value is None else f"{value:.{places}f}{NBSP}{unit}"
