"""The day's energy in words and rows, for the page and the handover documents."""

from dataclasses import dataclass
from functools import cached_property

from electrical.core.energy.autonomy import AutonomyVerdict
from electrical.core.energy.day import ChargerKind
from electrical.energy import Energy
from electrical.energy_working import VERDICTS, steps_of
from electrical.facts import Facts
from electrical.models import OperatingState
from electrical.working import Step

#: Half of the last digit shown [Ah].
LEAST_SHOWN = 0.05
ACCEPTED = " The battery accepts less, and that is counted."


@dataclass(frozen=True)
class Cell:
    ah: float | None
    state: str = ""

    @property
    def text(self) -> str:
        if self.ah is None:
            return "not known"
        if self.ah == 0.0:
            return ""
        return f"{self.ah:.1f}" if self.ah >= LEAST_SHOWN else f"< {2 * LEAST_SHOWN:g}"


@dataclass(frozen=True)
class UseRow:
    device_id: int
    label: str
    current: str
    cells: tuple[Cell, ...]
    total: Cell


@dataclass(frozen=True)
class ChargeLine:
    label: str
    current: str
    stored: str
    why: str


@dataclass(frozen=True)
class EnergyPage:
    facts: Facts
    energy: Energy

    @cached_property
    def states(self) -> list[tuple[str, str, float]]:
        """State, its name and hours, for the states of the plan that last at all."""
        hours = self.energy.balance.hours_by_state
        return [(s.value, s.label, hours[s.value]) for s in OperatingState if hours[s.value] > 0.0]

    @cached_property
    def rows(self) -> list[UseRow]:
        """Largest use first; what is never on in this plan last."""
        rows = [
            UseRow(
                device_id=int(row.load_id),
                label=row.label,
                current=_amperes(row.battery_current_a),
                cells=tuple(Cell(row.ah_by_state[s], name) for s, name, _ in self.states),
                total=Cell(row.total_ah),
            )
            for row in self.energy.balance.rows
        ]
        return sorted(rows, key=lambda row: -(row.total.ah if row.total.ah is not None else 1e9))

    @cached_property
    def totals(self) -> list[Cell]:
        use = self.energy.balance.use_by_state_ah
        return [Cell(use[state], name) for state, name, _ in self.states]

    @property
    def total(self) -> Cell:
        return Cell(self.energy.balance.use_ah)

    @cached_property
    def charges(self) -> list[ChargeLine]:
        why = {one.charger.charger_id: one.why for one in self.energy.charging}
        return [
            ChargeLine(
                label=row.label,
                current="by the sun"
                if row.kind is ChargerKind.SOLAR
                else _text(row.current_a, "A"),
                stored=_text(row.stored_ah, "Ah"),
                why=why[row.charger_id] + (ACCEPTED if row.is_limited_by_battery else ""),
            )
            for row in self.energy.balance.charge_rows
        ]

    @property
    def kind(self) -> str:
        return self.energy.severity.value.replace(" ", "_")

    @cached_property
    def facts_shown(self) -> list[tuple[str, str]]:
        auto = self.energy.autonomy
        depth = auto.usable_depth
        return [
            ("House batteries", _text(auto.capacity_ah, "Ah", 0)),
            (
                "Usable part",
                f"{depth.value * 100:.0f}\N{NO-BREAK SPACE}%" if depth else "not known",
            ),
            ("Usable", _text(auto.usable_ah, "Ah", 0)),
            ("Used in a day", _text(auto.use_ah, "Ah")),
            ("Without charging", _days(auto.verdict, auto.days)),
            ("With charging", _days(auto.verdict_with_charging, auto.days_with_charging)),
            ("Asked for", f"{self.energy.asked_days:g} days"),
        ]

    @cached_property
    def steps(self) -> list[Step]:
        return steps_of(self.energy)

    @property
    def depth_source(self) -> str:
        depth = self.energy.autonomy.usable_depth
        return f"{depth.source} ({depth.status.value})" if depth else ""

    @cached_property
    def missing(self) -> list[str]:
        gaps = self.energy.autonomy.missing
        return list(dict.fromkeys(f"{gap.subject}: {gap.field}" for gap in gaps))


def _text(value: float | None, unit: str, places: int = 1) -> str:
    return "not known" if value is None else f"{value:.{places}f}\N{NO-BREAK SPACE}{unit}"


def _amperes(current_a: float | None) -> str:
    """A monitor draws milliamperes, which one decimal would show as nothing."""
    is_small = current_a is not None and 0.0 < current_a < 2 * LEAST_SHOWN
    return _text(current_a, "A", 2 if is_small else 1)


def _days(verdict: AutonomyVerdict, days: float | None) -> str:
    return VERDICTS.get(verdict) or _text(days, "days")
