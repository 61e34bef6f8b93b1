"""What the year is worked out from, as plain values; what is missing, and where to tell it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from hashlib import sha256

from catalogue.models import PartKind, RegulatorData, SolarPanelData
from electrical.adapters.numbers import fraction, number
from electrical.core.energy.balance import daily_balance
from electrical.core.energy.day import Battery, Charger, ChargerKind, DayPlan, Load
from electrical.energy import Energy, energy_of, house_batteries, loads_of
from electrical.facts import Facts, record_of
from electrical.models import Device, OperatingState
from electrical.year.ports import MONTHS, Figures, months_of

HOURS = 24
#: When in the day each state falls. Assumed; common practice, no source.
CLOCK = (
    OperatingState.ENGINE_START,
    OperatingState.UNDER_WAY_DAY,
    OperatingState.WORKING,
    OperatingState.UNDER_WAY_NIGHT,
    OperatingState.SHORE,
)
#: States of rest: half before the day's work, half after it.
RESTING = (OperatingState.IDLE, OperatingState.AT_ANCHOR)


@dataclass(frozen=True)
class Panels:
    """Alike panels on one regulator, mounted alike."""

    label: str
    peak_w: float
    count: int
    voc_v: float
    vmp_v: float | None
    voc_per_c: float | None
    regulator: str
    matching: str
    output_a: float
    max_input_v: float
    efficiency: float | None
    tilt_deg: float
    facing_deg: float | None
    device_ids: tuple[int, ...]

    @property
    def stands(self) -> str:
        """How they are mounted, in words."""
        if not self.tilt_deg:
            return "flat"
        if self.facing_deg is None:
            return f"at {self.tilt_deg:g}°, swinging through all headings"
        return f"at {self.tilt_deg:g}°, facing {self.facing_deg:g}° from north over east"


@dataclass(frozen=True)
class Gap:
    """One figure that is missing; `device_id` or `field` says where it is told."""

    words: str
    device_id: int | None = None
    is_port: bool = False


@dataclass(frozen=True)
class YearInputs:
    battery: Battery
    battery_ah: float | None
    """Of one of its batteries, for trying one more [Ah]."""
    states: tuple[str, ...]
    loads: tuple[Load, ...]
    chargers: tuple[Charger, ...]
    charging: tuple[str, ...]
    """What sets the current of each of them, in words."""
    panels: tuple[Panels, ...]
    latitude_deg: float | None
    irradiation_kwh_m2_day: tuple[float | None, ...]
    air_c: tuple[float | None, ...]
    source: str
    gaps: tuple[Gap, ...]

    @property
    def stamp(self) -> str:
        return sha256(repr(self).encode()).hexdigest()


def inputs_of(facts: Facts, energy: Energy | None = None) -> YearInputs:
    energy = energy or energy_of(facts)
    months = months_of(facts.home_port)
    figures = [months.get(month, (None, None)) for month in range(1, 13)]
    states = hours_of_day(energy.balance.hours_by_state)
    loads = _loads(facts, energy, states)
    chargers = [
        replace(one.charger, duty_by_state=_kept(one.charger.duty_by_state, energy, states))
        for one in energy.charging
        if one.charger.kind is not ChargerKind.SOLAR
    ]
    records = house_batteries(facts)
    return YearInputs(
        battery=energy.battery,
        battery_ah=float(records[-1].capacity_ah) if records else None,
        states=states,
        loads=loads,
        chargers=tuple(chargers),
        charging=tuple(
            f"{one.charger.label}: {one.why}"
            for one in energy.charging
            if one.charger.kind is not ChargerKind.SOLAR
        ),
        panels=tuple(_panels(facts)),
        latitude_deg=number(facts.home_port.latitude_deg) if facts.home_port else None,
        irradiation_kwh_m2_day=tuple(number(sun) for sun, _ in figures),
        air_c=tuple(number(air) for _, air in figures),
        source=facts.home_port.source if facts.home_port else "",
        gaps=(*_gaps(facts, energy), *_port_gaps(facts, figures)),
    )


def hours_of_day(hours_by_state: Mapping[str, float]) -> tuple[str, ...]:
    """The state in each hour from midnight: whole hours, the largest remainders rounded up."""
    whole = {state: int(hours) for state, hours in hours_by_state.items()}
    left = HOURS - sum(whole.values())
    by_rest = sorted(whole, key=lambda state: whole[state] - hours_by_state[state])
    for state in by_rest[:left]:
        whole[state] += 1
    early = [state for state in RESTING for _ in range(whole.get(state, 0) // 2)]
    late = [
        state
        for state in reversed(RESTING)
        for _ in range(whole.get(state, 0) - whole.get(state, 0) // 2)
    ]
    work = [state for state in CLOCK for _ in range(whole.get(state, 0))]
    return tuple(str(state) for state in (*early, *work, *late))


def _loads(facts: Facts, energy: Energy, states: tuple[str, ...]) -> tuple[Load, ...]:
    """In whole hours; what rounding changed in the day's use is put right in all of them alike."""
    loads = [
        replace(load, duty_by_state=_kept(load.duty_by_state, energy, states))
        for load in loads_of(facts)
    ]
    plan = DayPlan.from_hours(states)
    whole_ah = daily_balance(plan=plan, loads=loads, battery=energy.battery, chargers=()).use_ah
    factor = energy.balance.use_ah / whole_ah if whole_ah else 1.0
    return tuple(replace(load, quantity=load.quantity * factor) for load in loads)


def _kept(
    duties: Mapping[str, float | None] | None, energy: Energy, states: tuple[str, ...]
) -> dict[str, float | None]:
    """Shares of time on, less what rounding a state up to whole hours added to it."""
    hours = energy.balance.hours_by_state
    factor = {s: min(hours.get(s, 0.0) / states.count(s), 1.0) for s in set(states)}
    return {
        state: None if duty is None else duty * factor.get(state, 1.0)
        for state, duty in (duties or {}).items()
    }


def _panels(facts: Facts) -> list[Panels]:
    """By part, mounting and regulator; a regulator's output is shared by what it serves."""
    groups: dict[tuple[int, ...], list[Device]] = {}
    for device in facts.of_kind(PartKind.SOLAR_PANEL):
        regulator = _regulator_of(facts, device)
        if regulator is not None and isinstance(record_of(device), SolarPanelData):
            mounted = (device.tilt_deg or 0, -1 if device.facing_deg is None else device.facing_deg)
            key = (regulator.pk, device.line.part_id or 0, *mounted)
            groups.setdefault(key, []).append(device)
    served: dict[int, float] = {}
    for (regulator_id, *_), devices in groups.items():
        served[regulator_id] = served.get(regulator_id, 0.0) + sum(map(_peak_w, devices))
    return [
        _group(facts.device_by_id[regulator_id], devices, served[regulator_id])
        for (regulator_id, *_), devices in groups.items()
    ]


def _group(regulator: Device, devices: list[Device], served_w: float) -> Panels:
    panel, data = record_of(devices[0]), record_of(regulator)
    if not isinstance(panel, SolarPanelData) or not isinstance(data, RegulatorData):
        raise TypeError("panels and regulator carry their records")
    per_c = panel.voc_coefficient_pct_per_c
    share = sum(map(_peak_w, devices)) / served_w
    return Panels(
        label=f"{devices[0].label} {devices[0].short_name}",
        peak_w=float(panel.rated_w),
        count=len(devices),
        voc_v=float(panel.voc_v),
        vmp_v=number(panel.vmp_v),
        voc_per_c=None if per_c is None else float(per_c) / 100.0,
        regulator=f"{regulator.label} {regulator.short_name}",
        matching=data.matching,
        output_a=float(data.output_a) * share,
        max_input_v=float(data.max_input_v),
        efficiency=fraction(data.efficiency_pct),
        tilt_deg=float(devices[0].tilt_deg or 0),
        facing_deg=number(devices[0].facing_deg),
        device_ids=tuple(device.pk for device in devices),
    )


def _peak_w(device: Device) -> float:
    record = record_of(device)
    return float(record.rated_w) if isinstance(record, SolarPanelData) else 0.0


def _regulator_of(facts: Facts, panel: Device) -> Device | None:
    """Where its lead goes; the first there is while it has none."""
    for circuit in facts.starting_at.get(panel.pk, ()):
        end = facts.far_point(circuit)
        if end is not None and isinstance(record_of(end), RegulatorData):
            return end
    regulators = facts.of_kind(PartKind.REGULATOR)
    return next((r for r in regulators if isinstance(record_of(r), RegulatorData)), None)


def _gaps(facts: Facts, energy: Energy) -> list[Gap]:
    """Gaps of the daily sum, but for the mean day's sun: the year has its own."""
    named = {f"{d.label} {d.name}": d.pk for d in facts.devices}
    found = [
        Gap(f"{gap.subject}: {gap.field}", named.get(gap.subject))
        for gap in dict.fromkeys(energy.autonomy.missing)
        if not gap.subject.startswith("Solar panels")
    ]
    found += [
        Gap(f"{panel.label} {panel.name}: solar regulator", panel.pk)
        for panel in facts.of_kind(PartKind.SOLAR_PANEL)
        if _regulator_of(facts, panel) is None
    ]
    return [*found, *_matching_gaps(facts)]


def _matching_gaps(facts: Facts) -> list[Gap]:
    """What panels give hangs on how their regulator matches them to the battery."""
    panels = facts.of_kind(PartKind.SOLAR_PANEL)
    regulators = dict.fromkeys(filter(None, (_regulator_of(facts, panel) for panel in panels)))
    return [
        Gap(f"{one.label} {one.name}: tracking or switched, told with the part in the catalogue")
        for one in regulators
        if isinstance(data := record_of(one), RegulatorData) and not data.matching
    ]


def _port_gaps(facts: Facts, figures: list[Figures]) -> list[Gap]:
    found = []
    if facts.home_port is None or facts.home_port.latitude_deg is None:
        found.append(Gap("Home port: latitude", is_port=True))
    for words, at in (("irradiation", 0), ("temperature", 1)):
        names = [MONTHS[n] for n, month in enumerate(figures) if month[at] is None]
        if names:
            shown = "every month" if len(names) == 12 else ", ".join(names)
            found.append(Gap(f"Home port: mean {words} of {shown}", is_port=True))
    return found
