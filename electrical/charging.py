"""What charges the house batteries, with how much, and what sets it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property

from catalogue.models import BatteryData, ChargingSourceData, PartKind
from catalogue.models.electrical_data import BatteryUse, ChargingKind
from electrical.adapters.loads import ENGINE_RUNS, current_of, duties_of
from electrical.adapters.numbers import fraction, number, system_v
from electrical.adapters.points import main_v
from electrical.core.energy.chargers import HOT_PART, Limit, ThroughConverter, through_converter
from electrical.core.energy.day import Charger, ChargerKind
from electrical.core.errors import BadInput
from electrical.facts import Facts, load_record_of, record_of
from electrical.models import CircuitRole, Device, OperatingState
from electrical.sun_charging import sun_charging
from electrical.supply import batteries_of, upstream_of
from electrical.wiring.grouping import needs_power

NBSP = "\N{NO-BREAK SPACE}"
HOT_TEXT = f"{100 * HOT_PART:.0f}{NBSP}% when hot (common practice, no source)"
KINDS = {
    ChargingKind.ALTERNATOR: ChargerKind.ALTERNATOR,
    ChargingKind.DCDC: ChargerKind.DC_DC,
    ChargingKind.MAINS: ChargerKind.MAINS,
}


#: States in which an engine turns slowly. Assumed; common practice, no source.
ENGINE_IDLES = (OperatingState.WORKING,)
IDLE_ASSUMED = "the engine is taken to idle while fishing or working (common practice, no source)"
IDLE_UNTOLD = " Its output at idle is not told; the same is taken while fishing or working."


@dataclass(frozen=True)
class HouseCharger:
    charger: Charger
    why: str
    """What sets its current, and where that is from."""


@dataclass(frozen=True)
class Given:
    """Current into the house batteries, what sets it, and what is missing to tell."""

    current_a: float | None
    why: str
    missing: str = ""


def house_charging(facts: Facts) -> tuple[HouseCharger, ...]:
    engines = EngineSide(facts)
    found = [
        charger
        for device, record in _charging_sources(facts)
        if charges_house(facts, device, record)
        for charger in _chargers(engines, device, record)
    ]
    return (*found, *(HouseCharger(charger, why) for charger, why in sun_charging(facts)))


def _charging_sources(facts: Facts) -> Iterable[tuple[Device, ChargingSourceData]]:
    for device in facts.of_kind(PartKind.CHARGING_SOURCE):
        record = record_of(device)
        if isinstance(record, ChargingSourceData):
            yield device, record


def charges_house(facts: Facts, device: Device, record: ChargingSourceData) -> bool:
    if system_v(record.nominal_v) != main_v(facts):
        return False
    ends = [facts.far_point(circuit) for circuit in facts.starting_at.get(device.pk, ())]
    if ends:
        return any(end is not None and _is_house_side(end) for end in ends)
    if load_record_of(device) is not None:
        return BatteryUse.HOUSE in {
            battery.use
            for battery in map(record_of, batteries_of(facts, device))
            if isinstance(battery, BatteryData)
        }
    return record.source != ChargingKind.ALTERNATOR


def _is_house_side(end: Device) -> bool:
    record = record_of(end)
    return not isinstance(record, BatteryData) or record.use == BatteryUse.HOUSE


def _chargers(
    engines: EngineSide, device: Device, record: ChargingSourceData
) -> tuple[HouseCharger, ...]:
    """One, or two where an alternator gives less while its engine idles."""
    if record.source == ChargingKind.MAINS:
        why = f"Rated output of the charger, {_amperes(float(record.output_a))}."
        return (_made(device, record, (OperatingState.SHORE,), Given(float(record.output_a), why)),)
    turned, idle = engines.given_by(device, record), engines.given_at_idle(device, record)
    if idle is None:
        return (_made(device, record, ENGINE_RUNS, turned),)
    running = tuple(state for state in ENGINE_RUNS if state not in ENGINE_IDLES)
    return (
        _made(device, record, running, turned),
        _made(device, record, ENGINE_IDLES, idle, at=", engine idling"),
    )


def _made(
    device: Device,
    record: ChargingSourceData,
    states: Iterable[OperatingState],
    given: Given,
    *,
    at: str = "",
) -> HouseCharger:
    charger = Charger(
        charger_id=f"{device.pk}{at}",
        label=f"{device.label} {device.name}{at}",
        kind=KINDS[ChargingKind(record.source)],
        current_a=given.current_a,
        current_missing=given.missing or "charging current",
        duty_by_state=dict.fromkeys(states, 1.0),
    )
    return HouseCharger(charger, given.why)


class EngineSide:
    """Alternators, the batteries they charge, and the DC-DC chargers that draw on them."""

    def __init__(self, facts: Facts) -> None:
        self.facts = facts

    def given_by(self, device: Device, record: ChargingSourceData) -> Given:
        """While under way."""
        given = self._given(device, record, is_idle=False)
        untold = not self._tells_idle(device, record) and _idles(self.facts)
        if given.current_a is None or not untold:
            return given
        return replace(given, why=given.why + IDLE_UNTOLD)

    def given_at_idle(self, device: Device, record: ChargingSourceData) -> Given | None:
        """At the maker's output at idle; None where that is not told, or nothing else comes out."""
        if not self._tells_idle(device, record) or not _idles(self.facts):
            return None
        turned = self._given(device, record, is_idle=False)
        idle = self._given(device, record, is_idle=True)
        if idle.current_a is None or idle.current_a == turned.current_a:
            return None
        return replace(idle, why=f"{idle.why[:-1]}; {IDLE_ASSUMED}.")

    def _tells_idle(self, device: Device, record: ChargingSourceData) -> bool:
        if record.source == ChargingKind.ALTERNATOR:
            return record.output_engine_idle_a is not None
        return any(_idle_a(alternator) is not None for alternator in self.alternators[device])

    def _given(self, device: Device, record: ChargingSourceData, *, is_idle: bool) -> Given:
        if record.source == ChargingKind.ALTERNATOR:
            output_a = _output_a(device, is_idle=is_idle)
            at = " at idle" if is_idle else ""
            why = f"Alternator of {_amperes(output_a)}{at}, {HOT_TEXT}."
            return Given(output_a * HOT_PART, why)
        missing = self._missing(device, record)
        if missing:
            return Given(None, f"Cannot tell without the {missing}.", missing)
        try:
            found = self._through(device, record, is_idle=is_idle)
        except BadInput as refused:
            return Given(None, f"Cannot tell: {refused}.", "figure that can be")
        return Given(found.current_a, self._why(device, record, found, is_idle=is_idle))

    @cached_property
    def chargers(self) -> dict[Device, ChargingSourceData]:
        return {
            device: record
            for device, record in _charging_sources(self.facts)
            if record.source == ChargingKind.DCDC
        }

    @cached_property
    def alternators(self) -> dict[Device, tuple[Device, ...]]:
        """The alternators a DC-DC charger lives on while the engine runs, by charger."""
        turned = [
            (device, self._charged_by(device), system_v(record.nominal_v))
            for device, record in _charging_sources(self.facts)
            if record.source == ChargingKind.ALTERNATOR
        ]
        return {
            charger: tuple(
                alternator
                for alternator, charged, volts in turned
                if charged & self._ahead_of(charger) and volts == _input_v(record)
            )
            for charger, record in self.chargers.items()
        }

    def _charged_by(self, alternator: Device) -> set[int]:
        """Points its charging lead ends at; an engine charges through its starting leads."""
        leads = self.facts.starting_at.get(alternator.pk, ())
        ends = [self.facts.far_point(c) for c in leads if c.role == CircuitRole.CHARGING]
        points = {end.pk for end in ends if end is not None}
        return points | {point.pk for point in upstream_of(self.facts, alternator)}

    def _ahead_of(self, charger: Device) -> set[int]:
        return {point.pk for point in upstream_of(self.facts, charger)}

    def _missing(self, device: Device, record: ChargingSourceData) -> str:
        if not fraction(record.efficiency_pct):
            return "efficiency of the charger"
        if not self.alternators[device]:
            return "alternator ahead of the charger, wired to it"
        unknown = [load for load in self._loads_beside(device) if current_of(load) is None]
        return f"current of {unknown[0].label} {unknown[0].name}" if unknown else ""

    def _through(
        self, device: Device, record: ChargingSourceData, *, is_idle: bool
    ) -> ThroughConverter:
        """With its part of each alternator and of what else the starting side takes."""
        alternator_a = sum(
            _output_a(alternator, is_idle=is_idle)
            * self._part_of(device, self._living_on(alternator))
            for alternator in self.alternators[device]
        )
        loads_a = sum(
            self._loads_a(battery) * self._part_of(device, self._drawing_on(battery))
            for battery in batteries_of(self.facts, device)
        )
        return through_converter(
            alternator_a=alternator_a,
            engine_loads_a=loads_a,
            output_a=float(record.output_a),
            input_v=_input_v(record),
            output_v=system_v(record.nominal_v),
            efficiency=fraction(record.efficiency_pct) or 1.0,
        )

    def _part_of(self, device: Device, sharers: Iterable[Device]) -> float:
        """Chargers that draw on the same alternator or battery share it by what they ask for."""
        asked_w = {sharer.pk: _asked_w(self.chargers[sharer]) for sharer in sharers}
        return asked_w[device.pk] / sum(asked_w.values())

    def _living_on(self, alternator: Device) -> list[Device]:
        return [charger for charger, ahead in self.alternators.items() if alternator in ahead]

    def _drawing_on(self, battery: Device) -> list[Device]:
        return [one for one in self.chargers if battery in batteries_of(self.facts, one)]

    @cached_property
    def _loads_by_battery(self) -> dict[int, list[Device]]:
        """What lives on a starting battery and on no house battery; the first of its batteries."""
        found: dict[int, list[Device]] = {}
        for device in filter(needs_power, self.facts.devices):
            batteries = batteries_of(self.facts, device)
            records = [record_of(battery) for battery in batteries]
            uses = {record.use for record in records if isinstance(record, BatteryData)}
            if batteries and BatteryUse.HOUSE not in uses:
                found.setdefault(batteries[0].pk, []).append(device)
        return found

    def _loads_beside(self, device: Device) -> list[Device]:
        """Loads of the starting side that are on while the engine runs."""
        return [
            load
            for battery in batteries_of(self.facts, device)
            for load in self._loads_by_battery.get(battery.pk, ())
            if any(duties_of(self.facts, load)[state] for state in ENGINE_RUNS)
        ]

    def _loads_a(self, battery: Device) -> float:
        """In the engine state in which they draw most [A]."""
        loads = self._loads_by_battery.get(battery.pk, ())
        by_state = (
            sum((current_of(load) or 0.0) * duties_of(self.facts, load)[state] for load in loads)
            for state in ENGINE_RUNS
        )
        return max(by_state)

    def _why(
        self, device: Device, record: ChargingSourceData, found: ThroughConverter, *, is_idle: bool
    ) -> str:
        at = " at idle" if is_idle else ""
        names = " and ".join(
            f"{one.label} ({_amperes(_output_a(one, is_idle=is_idle))}{at})"
            for one in self.alternators[device]
        )
        is_shared = any(len(self._living_on(one)) > 1 for one in self.alternators[device])
        shared = ", its part beside other chargers" if is_shared else ""
        spare = f"{_amperes(found.spare_a)} to spare from alternator {names} at {HOT_TEXT}{shared}"
        output = _amperes(float(record.output_a))
        if found.limit is Limit.ALTERNATOR:
            return f"Limited by the alternator: {spare}; for {output} the charger would need more."
        return (
            f"Rated output of the charger, {output}: it takes {_amperes(found.input_a)} of {spare}."
        )


def _input_v(record: ChargingSourceData) -> float:
    return system_v(record.input_v or record.nominal_v)


def _asked_w(record: ChargingSourceData) -> float:
    efficiency = fraction(record.efficiency_pct) or 1.0
    return float(record.output_a) * system_v(record.nominal_v) / efficiency


def _output_a(alternator: Device, *, is_idle: bool = False) -> float:
    idle_a = _idle_a(alternator) if is_idle else None
    if idle_a is not None:
        return idle_a
    record = record_of(alternator)
    return float(record.output_a) if isinstance(record, ChargingSourceData) else 0.0


def _idle_a(alternator: Device) -> float | None:
    record = record_of(alternator)
    return number(record.output_engine_idle_a) if isinstance(record, ChargingSourceData) else None


def _idles(facts: Facts) -> bool:
    """Some hours of the day are spent so, as far as the day was told."""
    return not facts.plan_h or any(facts.plan_h.get(state, 0.0) > 0.0 for state in ENGINE_IDLES)


def _amperes(current_a: float) -> str:
    return f"{current_a:.1f}{NBSP}A"
