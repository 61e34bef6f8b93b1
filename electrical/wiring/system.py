"""The backbone of each voltage: its batteries, main busbar and boards."""

import re
from dataclasses import dataclass
from functools import cached_property

from catalogue.models import BatteryData, BoardData, BusbarData, ConverterData, PartKind
from catalogue.models.electrical_data import BatteryUse, ProtectionKind
from electrical.adapters.numbers import SYSTEM_VOLTAGES, system_v
from electrical.adapters.points import main_v
from electrical.facts import Facts, record_of
from electrical.models import Device

HEAVY_PROTECTION = frozenset(
    {ProtectionKind.STRIP_M5, ProtectionKind.STRIP_M8, ProtectionKind.CLASS_T}
)
VOLTS_IN_NAME = re.compile(r"\b(\d+)\s?V\b")


def distance_m(one: Device, other: Device) -> float:
    """Along the axes of the vessel, as cableways run; for choosing the nearest only."""
    ends = ((one.x_m, other.x_m), (one.y_m, other.y_m), (one.z_m, other.z_m))
    return sum(abs(float(a or 0) - float(b or 0)) for a, b in ends)


@dataclass(frozen=True)
class System:
    """Everything of one voltage."""

    facts: Facts
    volts: float

    def batteries(self, use: str) -> list[Device]:
        found = []
        for device in self.facts.of_kind(PartKind.BATTERY):
            record = record_of(device)
            if not isinstance(record, BatteryData) or record.use != use:
                continue
            if system_v(record.nominal_v) == self.volts:
                found.append(device)
        return found

    @cached_property
    def house(self) -> list[Device]:
        return self.batteries(BatteryUse.HOUSE)

    @cached_property
    def starters(self) -> list[Device]:
        return self.batteries(BatteryUse.START)

    @cached_property
    def motor_batteries(self) -> list[Device]:
        return self.batteries(BatteryUse.MOTOR)

    @cached_property
    def bars(self) -> list[Device]:
        """Positive busbars, the strongest first."""
        bars = [
            device
            for device in self.facts.of_kind(PartKind.BUSBAR)
            if not device.is_negative and self._bar_v(device) == self.volts
        ]
        return sorted(bars, key=lambda device: (-_rated_a(device), device.pk))

    def _bar_v(self, device: Device) -> float:
        """A busbar serves any voltage: the one in its name, else that of the house batteries."""
        named = [float(v) for v in VOLTS_IN_NAME.findall(device.name)]
        known = [volts for volts in named if volts in SYSTEM_VOLTAGES]
        return known[0] if known else main_v(self.facts)

    @cached_property
    def boards(self) -> list[Device]:
        return [
            device
            for device in self.facts.of_kind(PartKind.BOARD)
            if self._board_v(device) == self.volts
        ]

    def _board_v(self, device: Device) -> float:
        record = record_of(device)
        if isinstance(record, BoardData) and record.nominal_v:
            return system_v(record.nominal_v)
        return main_v(self.facts)

    @cached_property
    def main(self) -> Device | None:
        """Where everything of this voltage meets: the strongest busbar, else the strongest board."""
        if self.bars:
            return self.bars[0]
        switched = [board for board in self.boards if not board.always_live]
        return max(switched, key=lambda b: (is_heavy_board(b), _rated_a(b), -b.pk), default=None)

    @cached_property
    def converters_in(self) -> list[Device]:
        """Converters whose output is this voltage."""
        return [
            device
            for device in self.facts.of_kind(PartKind.CONVERTER)
            for record in [record_of(device)]
            if isinstance(record, ConverterData) and system_v(record.output_v) == self.volts
        ]

    def nearest(self, candidates: list[Device], to: Device) -> Device | None:
        return min(candidates, key=lambda c: (distance_m(c, to), c.pk), default=None)

    def supply_for(self, device: Device, heavy_boards: list[Device]) -> Device | None:
        """Where a heavy or boardless load of this voltage is fed from."""
        for candidates in (
            heavy_boards,
            [self.main] if self.main else [],
            self.motor_batteries,
            self.house,
            self.converters_in,
        ):
            found = self.nearest(list(candidates), device)
            if found is not None:
                return found
        return None


def is_heavy_board(device: Device) -> bool:
    """A board of bolt-in fuses: for feeders and heavy loads, not for a lamp."""
    record = record_of(device)
    return isinstance(record, BoardData) and record.protection in HEAVY_PROTECTION


def _rated_a(device: Device) -> float:
    record = record_of(device)
    return float(record.rated_a) if isinstance(record, BusbarData | BoardData) else 0.0
