"""What the year is worked out from, as plain values; what is missing, and where to tell it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from hashlib import sha256

from catalogue.models import PartKind, RegulatorData, SolarPanelData
from electrical.adapters.numbers import fraction, number
from electrical.adapters.points import in_series
from electrical.core.energy.day import Battery, Charger, ChargerKind, Load
from electrical.core.energy.profiles import UseProfile, days_by_month
from electrical.energy import Energy, energies_of, house_batteries, loads_of
from electrical.facts import Facts, record_of
from electrical.models import Device
from electrical.year.ports import MONTHS, Figures, months_of


@dataclass(frozen=True)
class Panels:
    """Alike panels on one regulator, mounted alike."""

    label: str
    peak_w: float
    count: int
    in_series: int
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
        """How they are wired and mounted, in words."""
        strings = f"{self.in_series} in series, " if self.in_series > 1 else ""
        return strings + self._mounted

    @property
    def _mounted(self) -> str:
        if not self.tilt_deg:
            return "flat"
        if self.facing_deg is None:
            return f"at {self.tilt_deg:g}°, swinging through all headings"
        return f"at {self.tilt_deg:g}°, facing {self.facing_deg:g}° from north over east"


@dataclass(frozen=True)
class Gap:
    """One figure that is missing; the rest says where it is told."""

    words: str
    device_id: int | None = None
    is_port: bool = False
    is_use: bool = False


@dataclass(frozen=True)
class YearInputs:
    battery: Battery
    battery_ah: float | None
    """Of one of its batteries, for trying one more [Ah]."""
    profiles: tuple[UseProfile, ...]
    clock_assumed: tuple[str, ...]
    """Profiles of which nobody has told when in the day each state falls."""
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
        months = [sorted(profile.months) for profile in self.profiles]
        told = replace(self, profiles=(), clock_assumed=())
        days = [(one.name, one.states, one.days_per_week) for one in self.profiles]
        return sha256(repr((told, days, months)).encode()).hexdigest()


def inputs_of(facts: Facts, energies: Sequence[Energy] = ()) -> YearInputs:
    energies = energies or energies_of(facts)
    energy = energies[0]
    months = months_of(facts.home_port)
    figures = [months.get(month, (None, None)) for month in range(1, 13)]
    charging = [one for one in energy.charging if one.charger.kind is not ChargerKind.SOLAR]
    records = house_batteries(facts)
    profiles = tuple(one.profile for one in energies)
    return YearInputs(
        battery=energy.battery,
        battery_ah=float(records[-1].capacity_ah) if records else None,
        profiles=profiles,
        clock_assumed=tuple(one.profile.name for one in energies if one.is_clock_assumed),
        loads=tuple(loads_of(facts)),
        chargers=tuple(one.charger for one in charging),
        charging=tuple(f"{one.charger.label}: {one.why}" for one in charging),
        panels=tuple(_panels(facts)),
        latitude_deg=number(facts.home_port.latitude_deg) if facts.home_port else None,
        irradiation_kwh_m2_day=tuple(number(sun) for sun, _ in figures),
        air_c=tuple(number(air) for _, air in figures),
        source=facts.home_port.source if facts.home_port else "",
        gaps=(*_profile_gaps(profiles), *_gaps(facts, energies), *_port_gaps(facts, figures)),
    )


def _profile_gaps(profiles: Sequence[UseProfile]) -> list[Gap]:
    names = [MONTHS[n] for n, days in enumerate(days_by_month(profiles)) if not days]
    return [Gap(f"Use profile that holds in {', '.join(names)}", is_use=True)] if names else []


def _panels(facts: Facts) -> list[Panels]:
    """By part, mounting and regulator; a regulator's output is shared by what it serves."""
    groups: dict[tuple[int, ...], list[Device]] = {}
    for device in facts.of_kind(PartKind.SOLAR_PANEL):
        regulator = _regulator_of(facts, device)
        if regulator is not None and isinstance(record_of(device), SolarPanelData):
            head = _head_of(facts, device)
            mounted = (head.tilt_deg or 0, -1 if head.facing_deg is None else head.facing_deg)
            key = (regulator.pk, device.line.part_id or 0, *mounted, in_series(facts, head))
            groups.setdefault(key, []).append(device)
    served: dict[int, float] = {}
    for (regulator_id, *_), devices in groups.items():
        served[regulator_id] = served.get(regulator_id, 0.0) + sum(map(_peak_w, devices))
    return [
        _group(facts, facts.device_by_id[key[0]], devices, served[key[0]])
        for key, devices in groups.items()
    ]


def _head_of(facts: Facts, panel: Device) -> Device:
    """The panel whose lead its string shares, and as which the string stands."""
    return facts.device_by_id.get(panel.in_series_with_id or 0, panel)


def _group(facts: Facts, regulator: Device, devices: list[Device], served_w: float) -> Panels:
    panel, data = record_of(devices[0]), record_of(regulator)
    if not isinstance(panel, SolarPanelData) or not isinstance(data, RegulatorData):
        raise TypeError("panels and regulator carry their records")
    per_c = panel.voc_coefficient_pct_per_c
    share = sum(map(_peak_w, devices)) / served_w
    head = _head_of(facts, devices[0])
    return Panels(
        label=f"{devices[0].label} {devices[0].short_name}",
        peak_w=float(panel.rated_w),
        count=len(devices),
        in_series=in_series(facts, head),
        voc_v=float(panel.voc_v),
        vmp_v=number(panel.vmp_v),
        voc_per_c=None if per_c is None else float(per_c) / 100.0,
        regulator=f"{regulator.label} {regulator.short_name}",
        matching=data.matching,
        output_a=float(data.output_a) * share,
        max_input_v=float(data.max_input_v),
        efficiency=fraction(data.efficiency_pct),
        tilt_deg=float(head.tilt_deg or 0),
        facing_deg=number(head.facing_deg),
        device_ids=tuple(device.pk for device in devices),
    )


def _peak_w(device: Device) -> float:
    record = record_of(device)
    return float(record.rated_w) if isinstance(record, SolarPanelData) else 0.0


def _regulator_of(facts: Facts, panel: Device) -> Device | None:
    """Where its lead goes; the first there is while it has none."""
    for circuit in facts.starting_at.get(_head_of(facts, panel).pk, ()):
        end = facts.far_point(circuit)
        if end is not None and isinstance(record_of(end), RegulatorData):
            return end
    regulators = facts.of_kind(PartKind.REGULATOR)
    return next((r for r in regulators if isinstance(record_of(r), RegulatorData)), None)


def _gaps(facts: Facts, energies: Sequence[Energy]) -> list[Gap]:
    """Gaps of the daily sum, but for the mean day's sun: the year has its own."""
    named = {f"{d.label} {d.name}": d.pk for d in facts.devices}
    found = [
        Gap(f"{gap.subject}: {gap.field}", named.get(gap.subject))
        for gap in dict.fromkeys(gap for one in energies for gap in one.autonomy.missing)
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
