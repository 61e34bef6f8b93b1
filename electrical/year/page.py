"""A year in rows and words: by month, by hour of a chosen month, and with one more of something."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.utils.safestring import SafeString, mark_safe

from electrical.core.status import SourceStatus
from electrical.models import EnergyYear, OperatingState
from electrical.working import FOLLOWS, PRACTICE, Step
from electrical.year.drawing import band, chances
from electrical.year.ports import MONTHS
from fitout.kit.text import in_thousands

NBSP = "\N{NO-BREAK SPACE}"
HOURS_OF_DAY = 24
DAYS_DRAWN = 31
SOLAR_BOOK = (
    "J. A. Duffie, W. A. Beckman, Solar Engineering of Thermal Processes, {section} "
    f"({SourceStatus.MEMORY.value})"
)


@dataclass(frozen=True)
class MonthRow:
    number: int
    name: str
    chance: str
    error: str
    days: str
    use: str
    lowest: str
    sun: str
    can_charge: bool
    tried: tuple[tuple[str, str], ...]
    """What is tried, and what it makes of the month."""


@dataclass(frozen=True)
class HourRow:
    hour: str
    states: tuple[tuple[str, str], ...]
    """Each use profile of the month, and the state in it."""
    low: str
    middle: str
    high: str


@dataclass(frozen=True)
class YearPage:
    year: EnergyYear
    asked: int = 0
    """The month asked for; 0 takes the worst."""

    @property
    def found(self) -> dict[str, Any]:
        found: dict[str, Any] = self.year.found
        return found

    @cached_property
    def worst(self) -> dict[str, Any]:
        months: list[dict[str, Any]] = self.found["months"]
        return max(months, key=lambda month: (month["floor_chance"], -min(month["low"])))

    @cached_property
    def chosen(self) -> dict[str, Any]:
        chosen: dict[str, Any] = next(
            (month for month in self.found["months"] if month["month"] == self.asked), self.worst
        )
        return chosen

    @property
    def chosen_name(self) -> str:
        return MONTHS[self.chosen["month"] - 1]

    @property
    def tried_names(self) -> list[str]:
        return [tried["words"] for tried in self.found["tried"].values()]

    @property
    def kind(self) -> str:
        return "attention" if self.worst["floor_chance"] > 0.0 else "pass"

    @property
    def sentence(self) -> str:
        name = MONTHS[self.worst["month"] - 1]
        if self.worst["floor_chance"] > 0.0:
            return (
                f"{name} is the worst month: the battery reaches its floor in "
                f"{percent(self.worst['floor_chance'])} of such months."
            )
        return (
            f"In {self.found['draws']} drawn months each the battery does not reach its floor; "
            f"{name} comes nearest, down to {percent(min(self.worst['low']))} on one day in ten."
        )

    @cached_property
    def steps(self) -> list[Step]:
        """How a year is worked out, in the order of computing."""
        draws, chance = self.found["draws"], self.worst["floor_chance"]
        error = self.worst["chance_error"]
        return [
            Step(
                "Use of a day",
                "one use profile for each day, drawn so that each comes on its days a week, "
                "one after the other; days without a profile like the others",
                self.use,
                PRACTICE,
            ),
            Step(
                "Sun of a day",
                "the month's mean; days spread around it after Bendt and others, a dull day "
                "tending to follow a dull day",
                f"{draws} drawn months",
                SOLAR_BOOK.format(section="2.9"),
            ),
            Step(
                "Sun of an hour on a panel",
                "shares of the day after Collares-Pereira and Rabl, Liu and Jordan; sky equally "
                "bright all over",
                f"{DAYS_DRAWN * HOURS_OF_DAY} hours a month",
                SOLAR_BOOK.format(section="2.13 and 2.15"),
            ),
            Step(
                "Charge after an hour",
                "charge before + what charging puts in × amp-hours back − what is drawn; never "
                "above full; disconnected at the floor until charged",
                f"floor {percent(self.found['floor'])}",
                PRACTICE,
            ),
            Step(
                "Chance in the worst month",
                "drawn months that reach the floor ÷ drawn months, ± √(p × (1 − p) ÷ drawn months)",
                f"{percent(chance)} ± {percent(error)}",
                FOLLOWS,
            ),
        ]

    @cached_property
    def months(self) -> list[MonthRow]:
        tried = list(self.found["tried"].values())
        return [
            MonthRow(
                number=month["month"],
                name=MONTHS[month["month"] - 1],
                chance=percent(month["floor_chance"]),
                error=percent(month["chance_error"]) if month["chance_error"] else "",
                days=days_text(month),
                use=ah_text(month["use_ah_day"], 1) if "use_ah_day" in month else "",
                lowest=percent(min(month["low"])),
                sun=ah_text(month["solar_ah_day"], 0),
                can_charge=month["can_charge"],
                tried=tuple(
                    (one["words"], outcome(one["months"][month["month"] - 1])) for one in tried
                ),
            )
            for month in self.found["months"]
        ]

    @cached_property
    def profiles(self) -> list[dict[str, Any]]:
        """Use profiles that hold in the chosen month; a year run before there were any has one."""
        before = [{"name": "State", "states": self.found.get("states", ()), "months": range(1, 13)}]
        profiles: list[dict[str, Any]] = self.found.get("profiles", before)
        return [one for one in profiles if self.chosen["month"] in one["months"]]

    @property
    def profile_names(self) -> list[str]:
        return [one["name"] for one in self.profiles]

    @cached_property
    def hours(self) -> list[HourRow]:
        labels: dict[str, str] = dict(OperatingState.choices)
        chosen = self.chosen
        return [
            HourRow(
                hour=f"{hour:02d} to {hour + 1:02d}",
                states=tuple(
                    (one["name"], labels.get(one["states"][hour], "")) for one in self.profiles
                ),
                low=percent(chosen["low"][hour]),
                middle=percent(chosen["middle"][hour]),
                high=percent(chosen["high"][hour]),
            )
            for hour in range(24)
        ]

    @property
    def chance_chart(self) -> SafeString:
        # The drawing code escapes every text it is given.
        return mark_safe(chances(self.found["months"], self.chosen["month"]))  # noqa: S308

    @property
    def band_chart(self) -> SafeString:
        return mark_safe(band(self.chosen, self.found["floor"]))  # noqa: S308

    @property
    def use(self) -> str:
        return ah_text(self.found["use_ah_day"], 1)

    @property
    def capacity(self) -> str:
        return ah_text(self.found["capacity_ah"], 0)

    @property
    def floor(self) -> str:
        return percent(self.found["floor"])


def ah_text(charge_ah: float, places: int) -> str:
    return f"{in_thousands(f'{charge_ah:.{places}f}')}{NBSP}Ah"


def percent(share: float) -> str:
    """Whole per cents; what is neither nought nor whole is not told as such."""
    if 0.0 < share < 0.005:
        return f"under 1{NBSP}%"
    if 0.995 <= share < 1.0:
        return f"over 99{NBSP}%"
    return f"{100 * share:.0f}{NBSP}%"


def days_text(month: dict[str, Any]) -> str:
    """After how many days a tenth of the drawn months had reached the floor."""
    days = month["days_to_floor"]
    return f"over {DAYS_DRAWN}" if days is None else f"{days:.1f}"


def outcome(month: dict[str, Any]) -> str:
    days = month["days_to_floor"]
    words = percent(month["floor_chance"])
    return words if days is None else f"{words}, {days:.1f}{NBSP}days"
