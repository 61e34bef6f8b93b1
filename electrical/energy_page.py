"""The day's energy in words and rows, for the page and the handover documents."""

from dataclasses import dataclass
from functools import cached_property

from django.utils.safestring import SafeString, mark_safe

from electrical.core.energy.autonomy import AutonomyVerdict
from electrical.core.energy.day import ChargerKind
from electrical.core.energy.profiles import DAYS_PER_WEEK, WHOLE_YEAR, UseProfile, days_by_month
from electrical.energy import Energy, worst_of
from electrical.energy_working import VERDICTS, steps_of
from electrical.facts import Facts
from electrical.models import OperatingState
from electrical.use_spans import spans_of
from electrical.working import Step
from electrical.year.drawing import day
from electrical.year.ports import MONTHS
from fitout.kit.text import in_thousands

NBSP = "\N{NO-BREAK SPACE}"
#: Half of the last digit shown [Ah].
LEAST_SHOWN = 0.05
ACCEPTED = " The battery accepts less, and that is counted."


@dataclass(frozen=True)
class Cell:
    ah: float | None
    state: str = ""
    is_least: bool = False
    """Of a sum of which not all is known."""

    @property
    def text(self) -> str:
        if self.ah is None or (self.is_least and not self.ah):
            return "not known"
        if self.is_least:
            return f"at least {self.ah:.1f}"
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
class ProfileRow:
    profile_id: int | None
    name: str
    comes: str
    spans: tuple[str, ...]
    is_clock_assumed: bool
    used: str
    charged: str
    without: str
    with_charging: str
    deepest: str
    decides: bool
    is_shown: bool


@dataclass(frozen=True)
class HourRow:
    hour: str
    state: str
    use: Cell
    charge: Cell
    below: Cell


@dataclass(frozen=True)
class EnergyPage:
    """One use profile in full, among all of them."""

    facts: Facts
    energy: Energy
    energies: tuple[Energy, ...] = ()

    @cached_property
    def decides(self) -> Energy:
        return worst_of(self.energies or (self.energy,))

    @property
    def name(self) -> str:
        return self.energy.profile.name

    @cached_property
    def profiles(self) -> list[ProfileRow]:
        return [self._profile_row(energy) for energy in self.energies or (self.energy,)]

    def _profile_row(self, energy: Energy) -> ProfileRow:
        auto = energy.autonomy
        return ProfileRow(
            profile_id=energy.profile_id,
            name=energy.profile.name,
            comes=comes(energy.profile),
            spans=tuple(span.text for span in spans_of(energy.profile.states)),
            is_clock_assumed=energy.is_clock_assumed,
            used=_text(energy.balance.use_ah if energy.balance.is_use_complete else None, "Ah"),
            charged=_text(
                energy.balance.charge_ah if energy.balance.is_charge_complete else None, "Ah"
            ),
            without=_days(auto.verdict, auto.days),
            with_charging=_days(auto.verdict_with_charging, auto.days_with_charging),
            deepest=_deepest(energy),
            decides=energy is self.decides and energy.is_one_of_several,
            is_shown=energy is self.energy,
        )

    @cached_property
    def week_notes(self) -> list[str]:
        """Months whose week is not just full, alike ones together."""
        if self.energy.is_plan_assumed:
            return []
        months: dict[float, list[str]] = {}
        for name, days in zip(MONTHS, days_by_month(self.facts.days), strict=True):
            months.setdefault(round(days, 1), []).append(name)
        return [_week_note(days, names) for days, names in months.items() if days != DAYS_PER_WEEK]

    @cached_property
    def hours(self) -> list[HourRow]:
        labels: dict[str, str] = dict(OperatingState.choices)
        rows, is_known = [], True
        for one in self.energy.hours:
            is_known = is_known and one.is_use_known and one.is_charge_known
            rows.append(
                HourRow(
                    hour=f"{one.hour} to {one.hour + 1}",
                    state=labels[one.state],
                    use=Cell(one.use_ah, is_least=not one.is_use_known),
                    charge=Cell(one.charge_ah, is_least=not one.is_charge_known),
                    below=Cell(one.below_full_ah if is_known else None),
                )
            )
        return rows

    @property
    def deepest(self) -> str:
        """When most is missing from full, in words."""
        if not _is_hourly_known(self.energy):
            return "not known, for not all of the use and charge is"
        hour = self.energy.deepest
        return f"at {hour.hour + 1}{NBSP}h" if hour.below_full_ah else "at no hour"

    @property
    def day_chart(self) -> SafeString:
        # The drawing code escapes every text it is given.
        used_ah = [hour.use_ah for hour in self.energy.hours]
        charged_ah = [hour.charge_ah for hour in self.energy.hours]
        return mark_safe(day(used_ah, charged_ah, self.name))  # noqa: S308

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
        use, rows = self.energy.balance.use_by_state_ah, self.energy.balance.rows
        return [
            Cell(use[state], name, is_least=any(row.ah_by_state[state] is None for row in rows))
            for state, name, _ in self.states
        ]

    @property
    def total(self) -> Cell:
        balance = self.energy.balance
        return Cell(balance.use_ah, is_least=not balance.is_use_complete)

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
        return self.decides.severity.value.replace(" ", "_")

    @cached_property
    def facts_shown(self) -> list[tuple[str, str]]:
        auto = self.energy.autonomy
        depth = auto.usable_depth
        deciding = [("Use profile", self.name)] if self.energy.is_one_of_several else []
        return [
            *deciding,
            ("House batteries", _text(auto.capacity_ah, "Ah", 0)),
            (
                "Usable part",
                f"{depth.value * 100:.0f}\N{NO-BREAK SPACE}%" if depth else "not known",
            ),
            ("Usable", _text(auto.usable_ah, "Ah", 0)),
            ("Used in a day", self._used),
            ("Without charging", _days(auto.verdict, auto.days)),
            ("With charging", _days(auto.verdict_with_charging, auto.days_with_charging)),
            ("Asked for", self.energy.asked_words),
        ]

    @property
    def _used(self) -> str:
        if self.energy.balance.is_use_complete:
            return _text(self.energy.balance.use_ah, "Ah")
        return f"{self.total.text}{NBSP}Ah" if self.total.ah else self.total.text

    @cached_property
    def steps(self) -> list[Step]:
        return steps_of(self.energy)

    @property
    def depth_source(self) -> str:
        depth = self.energy.autonomy.usable_depth
        return f"{depth.source} ({depth.status.value})" if depth else ""

    @property
    def losses(self) -> str:
        """What the days count besides use, in words."""
        auto = self.energy.autonomy
        if auto.usable_ah is None or not auto.use_ah:
            return ""
        if auto.law is None:
            return (
                "The days leave out losses to fast use and at rest: the kind of battery is unknown."
            )
        lost = Cell(auto.lost_ah).text or "0"
        return (
            f"The days count {lost}{NBSP}Ah a day on top, lost to fast use and at rest as in the "
            "year; with charging, as if the loads drew on the battery alone."
        )

    @cached_property
    def missing(self) -> list[str]:
        gaps = self.energy.autonomy.missing
        return list(dict.fromkeys(f"{gap.subject}: {gap.field}" for gap in gaps))


def _is_hourly_known(energy: Energy) -> bool:
    return all(hour.is_use_known and hour.is_charge_known for hour in energy.hours)


def _deepest(energy: Energy) -> str:
    if not _is_hourly_known(energy):
        return "not known"
    hour = energy.deepest
    if not hour.below_full_ah:
        return "stays full"
    return f"{_text(hour.below_full_ah, 'Ah')} at {hour.hour + 1}{NBSP}h"


def comes(profile: UseProfile) -> str:
    """How often and when in the year, in words."""
    count = profile.days_per_week
    words = f"{count:g} day{'' if count == 1.0 else 's'} a week"
    if profile.months == WHOLE_YEAR:
        return words
    first, last = season_of(profile.months)
    return f"{words} in {first}" if first == last else f"{words}, {first} to {last}"


def season_of(months: frozenset[int]) -> tuple[str, str]:
    """First and last month of one that follow one another, maybe over the turn of the year."""
    first = next(month for month in sorted(months) if (month - 2) % 12 + 1 not in months)
    return MONTHS[first - 1], MONTHS[(first - 2 + len(months)) % 12]


def _week_note(days: float, names: list[str]) -> str:
    when = "" if len(names) == len(MONTHS) else f" in {', '.join(names)}"
    if days == 0.0:
        return f"No use profile holds{when}, so the year cannot be told."
    if days > DAYS_PER_WEEK:
        return f"{days:g} days a week have a use profile{when}; a week has 7."
    left = DAYS_PER_WEEK - days
    verb = "day a week has" if left == 1.0 else "days a week have"
    return (
        f"{left:g} {verb} no use profile{when}; the year takes them like the others, in their "
        "proportion."
    )


def _text(value: float | None, unit: str, places: int = 1) -> str:
    return "not known" if value is None else f"{in_thousands(f'{value:.{places}f}')}{NBSP}{unit}"


def _amperes(current_a: float | None) -> str:
    """A monitor draws milliamperes, which one decimal would show as nothing."""
    is_small = current_a is not None and 0.0 < current_a < 2 * LEAST_SHOWN
    return _text(current_a, "A", 2 if is_small else 1)


def _days(verdict: AutonomyVerdict, days: float | None) -> str:
    return VERDICTS.get(verdict) or _text(days, "days")
