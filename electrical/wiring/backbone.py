"""Proposals for the leads that carry everything else: batteries, feeders, charging, converters."""

from collections.abc import Iterable

from catalogue.models import (
    BatteryData,
    ChargingSourceData,
    ConverterData,
    PartKind,
    RegulatorData,
    SolarPanelData,
    SwitchData,
)
from catalogue.models.electrical_data import ChargingKind
from electrical.adapters.links import joined, leads_of
from electrical.adapters.numbers import SYSTEM_VOLTAGES, system_v
from electrical.adapters.points import in_series, main_v
from electrical.facts import Facts, is_parallel_switch, load_record_of, record_of
from electrical.models import CircuitRole, Device
from electrical.wiring.proposal import Proposal, Proposals
from electrical.wiring.system import System, distance_m


def is_engine(device: Device) -> bool:
    """An engine charges through its starting leads; it needs no charging lead besides."""
    return load_record_of(device) is not None


class Backbone:
    """Adds proposals for whatever has no circuit yet; never touches what a person made."""

    def __init__(self, facts: Facts, proposals: Proposals) -> None:
        self.facts = facts
        self.proposals = proposals
        self.systems = {volts: System(facts, volts) for volts in SYSTEM_VOLTAGES}
        self.free_isolators = self._free_isolators()

    def propose(self) -> None:
        for system in self.systems.values():
            self._house_leads(system)
            self._boards(system)
        self._charging()
        self._solar()
        self._converters()
        self._emergency_leads()

    # What is there already.

    def is_fed(self, device: Device) -> bool:
        return bool(self.facts.fed_by.get(device.pk)) or self.proposals.reaches(device)

    def is_feeding(self, device: Device) -> bool:
        return bool(self.facts.starting_at.get(device.pk)) or bool(self.proposals.starts_at(device))

    def _free_isolators(self) -> list[Device]:
        return [
            device
            for device in self.facts.of_kind(PartKind.SWITCH)
            for record in [record_of(device)]
            if isinstance(record, SwitchData)
            and record.is_isolator
            and not record.is_emergency_parallel
            and not self.facts.fed_by.get(device.pk)
        ]

    def take_isolator(self, near: Device) -> tuple[Device, ...]:
        """The nearest isolator not yet in a lead; the caller's lead goes through it."""
        nearest = min(self.free_isolators, key=lambda s: (distance_m(s, near), s.pk), default=None)
        if nearest is None:
            return ()
        self.free_isolators.remove(nearest)
        return (nearest,)

    # Batteries and boards.

    def _house_leads(self, system: System) -> None:
        for battery in system.house:
            if self._has_main_lead(battery, system):
                continue
            if system.main is None:
                self.proposals.lacks(
                    f"main busbar {system.volts:g} V",
                    f"There is no {system.volts:g} V busbar or board for the batteries to feed. "
                    "Add one to the build sheet.",
                    battery,
                )
                continue
            self._add(
                f"{battery.short_name} {battery.label} to {system.main.label}",
                CircuitRole.SOURCE,
                battery,
                (*self.take_isolator(battery), system.main),
                system.volts,
            )

    def _has_main_lead(self, battery: Device, system: System) -> bool:
        return any(
            circuit.role == CircuitRole.SOURCE
            for circuit in self.facts.starting_at.get(battery.pk, ())
        )

    def _boards(self, system: System) -> None:
        for board in system.boards:
            if board == system.main or self.is_fed(board):
                continue
            if board.always_live and system.house:
                origin = system.nearest(system.house, board)
            else:
                origin = system.main or system.nearest(system.converters_in, board)
            if origin is None or origin == board:
                self._no_supply(system, board)
                continue
            self._add(
                f"Feeder to {board.label} {board.short_name}",
                CircuitRole.FEEDER,
                origin,
                (board,),
                system.volts,
                always_live=board.always_live,
            )

    def _no_supply(self, system: System, *devices: Device) -> None:
        self.proposals.lacks(
            f"supply {system.volts:g} V",
            f"Nothing on the build sheet supplies {system.volts:g} V: no battery, board, busbar "
            "or converter of that voltage.",
            *devices,
        )

    # Charging.

    def _charging(self) -> None:
        for device in self.facts.of_kind(PartKind.CHARGING_SOURCE):
            record = record_of(device)
            if not isinstance(record, ChargingSourceData):
                continue
            if record.source == ChargingKind.DCDC and not self.is_fed(device):
                self._charger_input(device, record)
            if not self.is_feeding(device) and not is_engine(device):
                self._charger_output(device, record)

    def _charger_input(self, device: Device, record: ChargingSourceData) -> None:
        volts = system_v(record.input_v or record.nominal_v)
        system = self.systems[volts]
        is_same_voltage = volts == system_v(record.nominal_v)
        origin = self._engine_side(system, device) if is_same_voltage else system.main
        origin = origin or system.main
        if origin is None:
            self._no_supply(system, device)
            return
        self._add(
            f"{device.short_name} {device.label}, input",
            CircuitRole.CONVERTER,
            origin,
            (device,),
            volts,
            always_live=is_battery(origin),
        )

    def _engine_side(self, system: System, device: Device) -> Device | None:
        """Two chargers share the engines between them as far as there are enough."""
        loaded = {p.origin.pk for p in self.proposals.circuits if p.role == CircuitRole.CONVERTER}
        loaded |= {c.origin_id for c in self.facts.circuits if c.role == CircuitRole.CONVERTER}
        free = [battery for battery in system.starters if battery.pk not in loaded]
        return system.nearest(free or system.starters, device)

    def _charger_output(self, device: Device, record: ChargingSourceData) -> None:
        system = self.systems[system_v(record.nominal_v)]
        target = self._charged_by(device, record, system)
        if target is None:
            self._no_supply(system, device)
            return
        self._add(
            f"{device.short_name} {device.label}",
            CircuitRole.CHARGING,
            device,
            (target,),
            system.volts,
            always_live=is_battery(target),
        )

    def _charged_by(
        self, device: Device, record: ChargingSourceData, system: System
    ) -> Device | None:
        """An alternator charges its own start battery; other chargers the main busbar or a
        winch battery in the same place."""
        if record.source == ChargingKind.ALTERNATOR and system.starters:
            uncharged = [b for b in system.starters if not self.is_fed(b)]
            return system.nearest(uncharged or system.starters, device)
        beside = [b for b in system.motor_batteries if b.zone_id == device.zone_id]
        main = [system.main] if system.main else []
        return system.nearest(beside or main or system.motor_batteries or system.house, device)

    def _solar(self) -> None:
        regulators = list(self.facts.of_kind(PartKind.REGULATOR))
        for regulator in regulators:
            record = record_of(regulator)
            if isinstance(record, RegulatorData) and not self.is_feeding(regulator):
                self._regulator_output(regulator, record)
        for panel in self.facts.of_kind(PartKind.SOLAR_PANEL):
            record = record_of(panel)
            if panel.in_series_with_id is not None:
                continue  # its string has one lead
            if isinstance(record, SolarPanelData) and not self.is_feeding(panel):
                self._panel_lead(panel, record, regulators)

    def _regulator_output(self, regulator: Device, record: RegulatorData) -> None:
        system = self.systems[system_v(record.nominal_v)]
        if system.main is None:
            self._no_supply(system, regulator)
            return
        self._add(
            f"{regulator.short_name} {regulator.label}",
            CircuitRole.CHARGING,
            regulator,
            (system.main,),
            system.volts,
        )

    def _panel_lead(
        self, panel: Device, record: SolarPanelData, regulators: Iterable[Device]
    ) -> None:
        nearest = min(regulators, key=lambda r: (distance_m(r, panel), r.pk), default=None)
        if nearest is None:
            self.proposals.lacks(
                "solar regulator",
                "There is no solar regulator for the solar panels. Add one to the build sheet.",
                panel,
            )
            return
        volts = in_series(self.facts, panel) * float(record.vmp_v or record.voc_v)
        self._add(
            f"{panel.short_name} {panel.label}",
            CircuitRole.CHARGING,
            panel,
            (nearest,),
            min(volts, 60.0),
        )

    def _converters(self) -> None:
        for converter in self.facts.of_kind(PartKind.CONVERTER):
            record = record_of(converter)
            if not isinstance(record, ConverterData) or self.is_fed(converter):
                continue
            system = self.systems[system_v(record.input_v)]
            if system.main is None:
                self._no_supply(system, converter)
                continue
            self._add(
                f"{converter.short_name} {converter.label}, input",
                CircuitRole.CONVERTER,
                system.main,
                (converter,),
                system.volts,
            )

    def _emergency_leads(self) -> None:
        """One from either battery to the switch, at the batteries' own posts: always live."""
        pairs = {switch.pk: pair for switch, pair in joined(self.facts)}
        for switch in self.facts.devices:
            if not is_parallel_switch(switch):
                continue
            if switch.pk not in pairs:
                self.proposals.lacks(
                    "second battery",
                    "An emergency parallel switch joins a start battery to another battery of "
                    "its voltage; the build sheet has no such two.",
                    switch,
                )
                continue
            reached = {lead.origin_id for lead in leads_of(self.facts, switch)}
            for battery in pairs[switch.pk]:
                if battery.pk not in reached and len(reached) < len(pairs[switch.pk]):
                    self._emergency_lead(battery, switch)

    def _emergency_lead(self, battery: Device, switch: Device) -> None:
        record = record_of(battery)
        self._add(
            f"{battery.short_name} {battery.label} to emergency switch {switch.label}",
            CircuitRole.LINK,
            battery,
            (switch,),
            system_v(record.nominal_v) if isinstance(record, BatteryData) else main_v(self.facts),
            always_live=True,
        )

    def _add(
        self,
        name: str,
        role: CircuitRole,
        origin: Device,
        devices: tuple[Device, ...],
        volts: float,
        *,
        always_live: bool = False,
    ) -> None:
        self.proposals.add(
            Proposal(
                name=name[:120],
                role=role,
                origin=origin,
                devices=devices,
                nominal_v=volts,
                always_live=always_live,
            )
        )


def is_battery(device: Device) -> bool:
    """A lead at a battery's own post has no isolator in it: always live."""
    return device.kind == PartKind.BATTERY
