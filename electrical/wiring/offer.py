"""Cables and protective devices of the catalogue that may be used in a circuit."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from catalogue.models import BoardData, BusbarData, CableData, Part, PartKind, ProtectiveDeviceData
from catalogue.models.electrical_data import ProtectionKind
from electrical.adapters.circuits import cable_of, function_words, protection_of
from electrical.adapters.design import has_mains
from electrical.adapters.routes import Run, route_of, runs_of
from electrical.colours import colour_names, wire_colour
from electrical.core.findings import RuleSet
from electrical.core.propose import CableChoice, DeviceChoice
from electrical.facts import Facts, load_record_of, record_of
from electrical.models import Circuit, Device

NEGATIVE_COLOUR = "yellow"
HEAVY_KINDS = (
    ProtectionKind.STRIP_M5,
    ProtectionKind.STRIP_M8,
    ProtectionKind.CUBE,
    ProtectionKind.CLASS_T,
)
IN_LINE_KINDS = (ProtectionKind.BLADE, ProtectionKind.BLADE_HIGH, ProtectionKind.CYLINDRICAL)
KINDS_AT = {
    PartKind.BUSBAR: (*IN_LINE_KINDS, *HEAVY_KINDS),
    PartKind.BATTERY: (*IN_LINE_KINDS, *HEAVY_KINDS),
    PartKind.CONVERTER: (*IN_LINE_KINDS, ProtectionKind.STRIP_M5, ProtectionKind.STRIP_M8),
    PartKind.CHARGING_SOURCE: (*IN_LINE_KINDS, *HEAVY_KINDS),
    PartKind.REGULATOR: (*IN_LINE_KINDS, *HEAVY_KINDS),
    PartKind.SOLAR_PANEL: (),
}

OnSheet = Mapping[int, int]
"""Pieces by part."""
NONE: OnSheet = {}


@dataclass(frozen=True)
class Offer:
    facts: Facts

    @cached_property
    def in_petrol_space(self) -> frozenset[int]:
        """Circuits whose run passes where petrol vapour may gather: theirs wants a sheath."""
        routes = {
            circuit.pk: route_of(self.facts, circuit, run)
            for circuit, run in zip(self.facts.circuits, self._runs, strict=True)
        }
        return frozenset(pk for pk, route in routes.items() if route and route.in_petrol_vapour)

    @cached_property
    def _runs(self) -> list[Run]:
        found = runs_of(self.facts)
        return [found[circuit.pk] for circuit in self.facts.circuits]

    @cached_property
    def cables(self) -> list[Part]:
        parts = Part.objects.active().filter(kind=PartKind.CABLE).with_cost()
        return list(parts.select_related("cabledata").exclude(cabledata=None))

    @cached_property
    def devices(self) -> list[Part]:
        parts = Part.objects.active().filter(kind=PartKind.PROTECTIVE_DEVICE).with_cost()
        related = parts.select_related("protectivedevicedata")
        return list(related.exclude(protectivedevicedata=None))

    @cached_property
    def part_by_key(self) -> dict[str, Part]:
        return {str(part.pk): part for part in (*self.cables, *self.devices)}

    # Cable.

    def cables_for(self, circuit: Circuit) -> list[CableChoice]:
        if circuit.cable_set_by_hand and circuit.cable is not None:
            return self._choices([circuit.cable], circuit.in_parallel)
        return self._choices(self.positive_cables(circuit), circuit.in_parallel)

    def positive_cables(self, circuit: Circuit) -> list[Part]:
        """One cable per size: single cores in the colour of the function, red where there is
        none; a sheathed pair where the run passes petrol vapour and there is one."""
        rule_set = RuleSet(self.facts.job.rule_set)
        colour = wire_colour(function_words(self.facts, circuit), rule_set, has_mains=self.mains)
        wanted = [name for name in colour_names(colour.word) if name != NEGATIVE_COLOUR]
        by_size: dict[object, Part] = {}
        for name in ["red", *reversed(wanted)]:
            for part in self._singles(rule_set):
                if _data(part).colour == name:
                    by_size[_size_key(part)] = part
        if circuit.pk in self.in_petrol_space:
            by_size |= {_size_key(part): part for part in self._twins(rule_set)}
        return list(by_size.values())

    @cached_property
    def mains(self) -> bool:
        return has_mains(self.facts)

    def _singles(self, rule_set: RuleSet) -> list[Part]:
        is_metric = rule_set is RuleSet.ISO
        return [
            part
            for part in self.cables
            if _data(part).cores == 1 and (_data(part).size_mm2 is not None) == is_metric
        ]

    def _twins(self, rule_set: RuleSet) -> list[Part]:
        """Two conductors in one sheath."""
        is_metric = rule_set is RuleSet.ISO
        return [
            part
            for part in self.cables
            if _data(part).cores == 2
            and _data(part).sheathed
            and (_data(part).size_mm2 is not None) == is_metric
        ]

    def negative_of(self, part: Part) -> Part:
        """The same size in the negative's colour; the same part when there is none."""
        same = [
            other
            for other in self.cables
            if _data(other).cores == 1
            and _size_key(other) == _size_key(part)
            and _data(other).colour == NEGATIVE_COLOUR
        ]
        return same[0] if same else part

    def _choices(self, parts: Iterable[Part], in_parallel: int) -> list[CableChoice]:
        found = []
        for part in parts:
            cable = cable_of(part, in_parallel=in_parallel)
            if cable is None:
                continue
            pair = in_parallel * (1 if _data(part).cores > 1 else 2)
            found.append(
                CableChoice(
                    key=str(part.pk),
                    cable=cable,
                    cost_per_m=cost_of(part) * pair,
                    mass_kg_per_m=float(part.mass_kg or 0) * pair,
                )
            )
        return found

    # Protection.

    def devices_for(self, circuit: Circuit, on_hand: OnSheet = NONE) -> list[DeviceChoice]:
        """`on_hand` tells how many of a part the build sheet holds for this circuit."""
        if circuit.protection_set_by_hand and circuit.protection is not None:
            return self._device_choices(circuit, [circuit.protection], on_hand)
        return self._device_choices(circuit, self.fitting_devices(circuit, on_hand), on_hand)

    def devices_at(self, circuit: Circuit, on_hand: OnSheet = NONE) -> list[DeviceChoice]:
        """Whatever the place takes, makers' limits aside: their own fuse then goes in line."""
        board_a = self._board_a(circuit, self.facts.origin_of(circuit))
        return self._device_choices(circuit, self._cheapest(circuit, board_a, on_hand), on_hand)

    def fitting_devices(self, circuit: Circuit, on_hand: OnSheet = NONE) -> list[Part]:
        """Within what board and makers allow."""
        origin = self.facts.origin_of(circuit)
        limits = [self._board_a(circuit, origin), *maker_limits_a(self.facts, circuit)]
        return self._cheapest(circuit, min(limits), on_hand)

    def _cheapest(self, circuit: Circuit, most_a: float, on_hand: OnSheet) -> list[Part]:
        origin = self.facts.origin_of(circuit)
        kinds, kinds_on_hand = kinds_at(origin), kinds_on_hand_at(origin)
        cheapest: dict[tuple[str, float], Part] = {}
        for part in self.devices:
            data = _protection(part)
            key = (data.device, float(data.rating_a))
            fits = data.device in (kinds_on_hand if on_hand.get(part.pk) else kinds)
            if not fits or key[1] > most_a or data.rated_v < circuit.nominal_v:
                continue
            if key not in cheapest or _dearness(part, on_hand) < _dearness(cheapest[key], on_hand):
                cheapest[key] = part
        return list(cheapest.values())

    def _board_a(self, circuit: Circuit, origin: Device) -> float:
        """The board's largest way, and the rating of the bar it feeds."""
        limits = []
        board = record_of(origin)
        if isinstance(board, BoardData):
            limits.append(float(board.way_max_a or board.rated_a))
        fed = self.facts.far_point(circuit)
        bar = record_of(fed) if fed is not None else None
        if isinstance(bar, BoardData | BusbarData):
            limits.append(float(bar.rated_a))
        return min(limits, default=float("inf"))

    def _device_choices(
        self, circuit: Circuit, parts: Sequence[Part], on_hand: OnSheet
    ) -> list[DeviceChoice]:
        at = self.facts.origin_of(circuit)
        found = []
        for part in parts:
            protection = protection_of(
                self.facts, part, distance_m=circuit.protection_distance_m, at=at
            )
            if protection is not None:
                found.append(
                    DeviceChoice(
                        key=str(part.pk),
                        protection=protection,
                        cost=cost_of(part),
                        mass_kg=float(part.mass_kg or 0),
                        on_hand=on_hand.get(part.pk, 0),
                    )
                )
        return found


def _dearness(part: Part, on_hand: OnSheet) -> tuple[bool, float]:
    return not on_hand.get(part.pk), cost_of(part)


def maker_limits_a(facts: Facts, circuit: Circuit) -> list[float]:
    """Largest fuse each load's maker allows, where known [A]."""
    records = (load_record_of(device) for device in facts.loads_of(circuit))
    return [float(r.fuse_max_a) for r in records if r is not None and r.fuse_max_a is not None]


def kinds_at(origin: Device) -> tuple[str, ...]:
    """Kinds of device that can be fitted where a circuit starts."""
    record = record_of(origin)
    if isinstance(record, BoardData):
        return (record.protection,)
    return KINDS_AT.get(PartKind(origin.kind), IN_LINE_KINDS)


def kinds_on_hand_at(origin: Device) -> tuple[str, ...]:
    """Those kinds, and a surface breaker on its own plate: too dear to be bought for a circuit."""
    kinds = kinds_at(origin)
    if isinstance(record_of(origin), BoardData) or not kinds:
        return kinds
    return (*kinds, ProtectionKind.BREAKER_THERMAL)


def cost_of(part: Part) -> float:
    """Cost of the best offer; a part nobody offers is taken last."""
    cost = getattr(part, "cost", None)
    return float(cost) if cost is not None else 1e6


def _data(part: Part) -> CableData:
    data: CableData = part.cabledata
    return data


def _protection(part: Part) -> ProtectiveDeviceData:
    data: ProtectiveDeviceData = part.protectivedevicedata
    return data


def _size_key(part: Part) -> tuple[object, str]:
    data = _data(part)
    return (data.size_mm2, data.size_awg)


def same_family(part: Part, other: Part) -> bool:
    """Cable alike but for its size: what a remedy may exchange."""
    one, two = _data(part), _data(other)
    return (one.cores, one.sheathed, one.tinned, one.insulation_c) == (
        two.cores,
        two.sheathed,
        two.tinned,
        two.insulation_c,
    )
