"""From the circuits of a job to the blocks of its diagram. Every circuit is drawn once."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from catalogue.models import (
    BatteryData,
    BoardData,
    ChargingSourceData,
    ConverterData,
    InverterData,
    LoadData,
    OutletData,
    PartKind,
    RegulatorData,
)
from catalogue.models.electrical_data import LoadFunction, LoadNature
from electrical.facts import Facts, record_of
from electrical.labels import labels_together
from electrical.models import Circuit, CircuitRole, Device
from electrical.schematic.content import Bar, Block, Branch, Feed, Panel, Supply, Symbol

FEEDING = frozenset({CircuitRole.FEEDER, CircuitRole.CONVERTER, CircuitRole.LOAD})
BARS = frozenset({PartKind.BOARD, PartKind.BUSBAR, PartKind.CONVERTER})
SUPPLYING = frozenset({CircuitRole.SOURCE, CircuitRole.CHARGING})


@dataclass(frozen=True)
class Arranger:
    """`texts` holds the branch of each circuit with everything but its end filled in."""

    facts: Facts
    texts: Mapping[int, Branch]
    drawn: set[int]
    """Circuits that have found their place."""

    def blocks(self) -> list[Block]:
        roots = sorted(self._roots(), key=self._root_order)
        blocks = [self._block(root) for root in roots]
        left_over = [c for c in self.facts.circuits if c.pk not in self.drawn]
        blocks += [self._loose(circuit) for circuit in left_over if circuit.pk not in self.drawn]
        return [block for block in blocks if block.bar.branches or block.supplies]

    # Roots: bars and batteries that no drawn circuit feeds.

    def _roots(self) -> list[Device]:
        fed = {
            end.pk
            for circuit in self.facts.circuits
            if circuit.role not in SUPPLYING
            for end in [self._next_bar(circuit)]
            if end is not None
        }
        bars = self.facts.of_kind(PartKind.BUSBAR, PartKind.BOARD)
        used = [bar for bar in bars if bar.pk not in fed and self._is_used(bar)]
        return used + [b for b in self.facts.of_kind(PartKind.BATTERY) if self._posts(b)]

    def _is_used(self, device: Device) -> bool:
        facts = self.facts
        return bool(facts.starting_at.get(device.pk) or facts.fed_by.get(device.pk))

    def _posts(self, battery: Device) -> bool:
        """Whether something other than the lead to its busbar hangs on a battery."""
        return any(
            not self._is_lead(circuit) for circuit in self.facts.starting_at.get(battery.pk, ())
        ) or any(c.role == CircuitRole.CHARGING for c in self.facts.fed_by.get(battery.pk, ()))

    def _is_lead(self, circuit: Circuit) -> bool:
        return circuit.role == CircuitRole.SOURCE and self._is_bar(self.facts.far_point(circuit))

    @staticmethod
    def _is_bar(device: Device | None) -> bool:
        return device is not None and device.kind in (PartKind.BOARD, PartKind.BUSBAR)

    def _root_order(self, device: Device) -> tuple[int, int, str]:
        """The busbar with most on it first, batteries last."""
        size = len(self.facts.starting_at.get(device.pk, ()))
        return (device.kind == PartKind.BATTERY, -size, device.label)

    # Blocks.

    def _block(self, root: Device) -> Block:
        supplies = self._supplies(root)
        return Block(bar=self._bar(root, {root.pk}), supplies=tuple(supplies))

    def _loose(self, circuit: Circuit) -> Block:
        """A circuit whose start is drawn nowhere else: a block of its own."""
        origin = self.facts.origin_of(circuit)
        return Block(bar=self._bar(origin, {origin.pk}))

    def _bar(self, device: Device, path: set[int]) -> Bar:
        items: list[Branch | Feed] = []
        for circuit in self.facts.starting_at.get(device.pk, ()):
            if circuit.pk in self.drawn or self._belongs_left(circuit):
                continue
            self.drawn.add(circuit.pk)
            items.append(self._item(circuit, path))
        items += self._inward(device, path)
        record = record_of(device)
        is_converter = isinstance(record, ConverterData)
        return Bar(
            point_id=device.pk,
            label=device.label,
            name=_bar_name(device),
            branches=tuple(items),
            is_converter=is_converter,
            from_v=f"{record.input_v.normalize():f} V" if isinstance(record, ConverterData) else "",
            to_v=f"{record.output_v.normalize():f} V" if isinstance(record, ConverterData) else "",
        )

    def _belongs_left(self, circuit: Circuit) -> bool:
        """Battery leads to a busbar are drawn on its left, not on the battery."""
        origin = self.facts.origin_of(circuit)
        return origin.kind == PartKind.BATTERY and self._is_lead(circuit)

    def _next_bar(self, circuit: Circuit) -> Device | None:
        """The bar a circuit goes on to, when it has something hanging on it."""
        end = self.facts.far_point(circuit)
        if end is None or circuit.role not in FEEDING or end.kind not in BARS:
            return None
        if end.kind == PartKind.CONVERTER and not self.facts.starting_at.get(end.pk):
            return None
        return end

    def _item(self, circuit: Circuit, path: set[int]) -> Branch | Feed:
        end = self._next_bar(circuit)
        branch = self.texts[circuit.pk]
        if end is None or end.pk in path:
            return self._ended(circuit, branch)
        return Feed(branch=branch, bar=self._bar(end, path | {end.pk}))

    def _ended(self, circuit: Circuit, branch: Branch) -> Branch:
        point = self.facts.far_point(circuit)
        loads = self.facts.loads_of(circuit)
        if point is not None:
            return replace(
                branch, symbol=_symbol(point), end_label=point.label, end_name=point.short_name
            )
        if not loads:
            return replace(branch, symbol=Symbol.POINT, end_name=branch.name)
        name = loads[0].short_name if len(loads) == 1 else branch.name
        return replace(
            branch, symbol=_symbol(loads[0]), end_label=labels_together(loads), end_name=name
        )

    def _inward(self, device: Device, path: set[int]) -> list[Branch]:
        """Supplies that reach a bar further down stand in its rows, pointing inward."""
        if len(path) == 1:
            return []
        found = []
        for circuit in self.facts.fed_by.get(device.pk, ()):
            if circuit.role in SUPPLYING and circuit.pk not in self.drawn:
                self.drawn.add(circuit.pk)
                origin = self.facts.origin_of(circuit)
                found.append(
                    replace(
                        self.texts[circuit.pk],
                        symbol=Symbol.SOURCE,
                        end_label=origin.label,
                        end_name=origin.short_name,
                    )
                )
        return found

    # Supplies, left of the first bar.

    def _supplies(self, root: Device) -> list[Supply]:
        supplies = []
        if root.kind == PartKind.BATTERY:
            supplies.append(self._battery(root, None))
        for circuit in self.facts.fed_by.get(root.pk, ()):
            if circuit.role not in SUPPLYING or circuit.pk in self.drawn:
                continue
            self.drawn.add(circuit.pk)
            supplies.append(self._supply(circuit))
        return sorted(supplies, key=lambda supply: supply.symbol is Symbol.BATTERY)

    def _supply(self, circuit: Circuit) -> Supply:
        origin = self.facts.origin_of(circuit)
        branch = self.texts[circuit.pk]
        if origin.kind == PartKind.BATTERY:
            return self._battery(origin, branch)
        record = record_of(origin)
        detail = ""
        if isinstance(record, ChargingSourceData | RegulatorData):
            detail = f"{record.output_a.normalize():f} A"
        return Supply(
            branch=branch,
            symbol=Symbol.SOURCE,
            label=origin.label,
            name=origin.short_name,
            detail=detail,
            panels=tuple(self._panels(origin)),
        )

    def _panels(self, regulator: Device) -> list[Panel]:
        found = []
        for circuit in self.facts.fed_by.get(regulator.pk, ()):
            panel = self.facts.origin_of(circuit)
            if panel.kind == PartKind.SOLAR_PANEL and circuit.pk not in self.drawn:
                self.drawn.add(circuit.pk)
                found.append(
                    Panel(branch=self.texts[circuit.pk], label=panel.label, name=panel.short_name)
                )
        return found

    def _battery(self, battery: Device, branch: Branch | None) -> Supply:
        record = record_of(battery)
        detail = ""
        if isinstance(record, BatteryData):
            volts, hours = record.nominal_v.normalize(), record.capacity_ah.normalize()
            detail = f"{volts:f} V {hours:f} Ah"
        return Supply(
            branch=branch,
            symbol=Symbol.BATTERY,
            label=battery.label,
            name=battery.short_name,
            detail=detail,
        )


def arranged(facts: Facts, texts: Mapping[int, Branch]) -> list[Block]:
    return Arranger(facts, texts, set()).blocks()


def _bar_name(device: Device) -> str:
    if device.kind == PartKind.BATTERY:
        return f"{device.short_name}, before the isolator"
    return device.short_name


LOAD_SYMBOLS = {
    LoadFunction.NAV_LIGHT: Symbol.LAMP,
    LoadFunction.LIGHT: Symbol.LAMP,
    LoadFunction.HEATING: Symbol.HEATER,
    LoadFunction.ALARM: Symbol.ALARM,
}
KIND_SYMBOLS = {
    PartKind.OUTLET: Symbol.OUTLET,
    PartKind.CONVERTER: Symbol.CONVERTER,
    PartKind.CHARGING_SOURCE: Symbol.CONVERTER,
    PartKind.REGULATOR: Symbol.CONVERTER,
    PartKind.INVERTER: Symbol.INVERTER,
    PartKind.BATTERY: Symbol.BATTERY,
    PartKind.BOARD: Symbol.POINT,
    PartKind.BUSBAR: Symbol.POINT,
}


def _symbol(device: Device) -> Symbol:
    record = record_of(device)
    if isinstance(record, LoadData):
        if record.function in LOAD_SYMBOLS:
            return LOAD_SYMBOLS[LoadFunction(record.function)]
        return Symbol.MOTOR if record.nature == LoadNature.MOTOR else Symbol.APPARATUS
    if isinstance(record, OutletData | InverterData | BoardData):
        return KIND_SYMBOLS[PartKind(device.kind)]
    return KIND_SYMBOLS.get(PartKind(device.kind), Symbol.APPARATUS)
