"""One page of energy for the handover pack: what the vessel uses in a day and how long it lasts."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from electrical.check import Checked
from electrical.energy_page import Cell, ChargeLine, EnergyPage, ProfileRow
from fitout.kit.money import quantity_text

#: Rows that fit on one page; what is left stands together in one more.
MOST_DEVICES, MOST_PROFILES, MOST_CHARGERS = 6, 4, 6
NOT_KNOWN = "not known"
NBSP = "\N{NO-BREAK SPACE}"


@dataclass(frozen=True)
class StateRow:
    name: str
    hours: str
    used: str


@dataclass(frozen=True)
class DeviceRow:
    label: str
    current: str
    used: str


@dataclass(frozen=True)
class EnergySheet:
    page: EnergyPage

    @property
    def kind(self) -> str:
        return self.page.kind

    @property
    def sentence(self) -> str:
        return self.page.decides.sentence

    @property
    def facts(self) -> list[tuple[str, str]]:
        return self.page.facts_shown

    @cached_property
    def states(self) -> list[StateRow]:
        return [
            StateRow(name=name, hours=f"{hours:g}{NBSP}h", used=_ah(cell))
            for (_, name, hours), cell in zip(self.page.states, self.page.totals, strict=True)
        ]

    @property
    def total(self) -> str:
        return _ah(self.page.total)

    @cached_property
    def devices(self) -> list[DeviceRow]:
        """Those that use most, what is not known first; the others in one row."""
        rows = [row for row in self.page.rows if row.total.ah != 0.0]
        found = [DeviceRow(r.label, r.current, _ah(r.total)) for r in rows[:MOST_DEVICES]]
        rest = [row.total.ah for row in rows[MOST_DEVICES:]]
        if rest:
            known = [ah for ah in rest if ah is not None]
            left = Cell(sum(known) if len(known) == len(rest) else None)
            found.append(DeviceRow(f"{len(rest)} more", "", _ah(left)))
        return found

    @property
    def profiles(self) -> list[ProfileRow]:
        return self.page.profiles[:MOST_PROFILES]

    @property
    def profiles_left(self) -> int:
        return max(0, len(self.page.profiles) - MOST_PROFILES)

    @property
    def charges(self) -> list[ChargeLine]:
        return self.page.charges[:MOST_CHARGERS]

    @property
    def charges_left(self) -> int:
        return max(0, len(self.page.charges) - MOST_CHARGERS)

    @cached_property
    def assumptions(self) -> list[str]:
        """What the figures stand on, so that whoever uses the vessel otherwise can tell."""
        page, port = self.page, self.page.facts.home_port
        found = [
            "How the vessel is used is assumed (common practice, no source); nobody has told it."
            if page.energy.is_plan_assumed
            else "How the vessel is used is as entered for this job."
        ]
        assumed = [row.name for row in page.profiles if row.is_clock_assumed]
        if assumed and not page.energy.is_plan_assumed:
            found.append(f"When in the day it happens is assumed for {', '.join(assumed)}.")
        if page.depth_source:
            found.append(f"Usable part of the batteries: {page.depth_source}.")
        if page.losses:
            found.append(page.losses)
        if port is not None and port.irradiation_kwh_m2_day is not None:
            source = f" ({port.source})" if port.source else ""
            found.append(
                f"Sun at the home port: {quantity_text(port.irradiation_kwh_m2_day)}{NBSP}kWh/m² "
                f"in a day{source}."
            )
        if port is not None and port.lowest_c is not None:
            found.append(f"Lowest temperature there: {port.lowest_c:g}{NBSP}°C.")
        return [*found, *page.week_notes]

    @property
    def missing(self) -> list[str]:
        return self.page.missing


def energy_sheet(checked: Checked) -> EnergySheet:
    """Of the use profile that decides."""
    return EnergySheet(EnergyPage(checked.facts, checked.energy, checked.energies))


def _ah(cell: Cell) -> str:
    is_told = cell.ah is not None and cell.text != NOT_KNOWN
    return f"{cell.text or '0'}{NBSP}Ah" if is_told else NOT_KNOWN
