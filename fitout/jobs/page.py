"""The build sheet as its page shows it: rows by zone, already worded, and the sums."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.utils.safestring import SafeString

from catalogue.models import Unit
from fitout.jobs import figures
from fitout.jobs.models import Job, LineKind, Zone
from fitout.kit.money import quantity_text, round_money
from fitout.kit.templatetags.look import follow_up
from fitout.kit.text import held_together, in_thousands

from .sheet import SheetLine, Sums, sheet_lines
from .sheet.values import ZERO

UNIT_WORDS: dict[str, str] = dict(Unit.choices)
CHIPS = {
    "included": ("included", "included"),
    "option": ("optional", "option"),
    "taken": ("optional", "option, taken"),
    LineKind.PROVISIONAL: ("provisional", "provisional sum"),
    LineKind.CUSTOMER_SUPPLIED: ("by-owner", "by customer"),
}


@dataclass(slots=True)
class Row:
    """One line in words. Figures of a kit include what is below it.

    Templates look a name up as a key before they try it as an attribute; answering to both
    saves an exception for each cell of a long sheet.
    """

    line: SheetLine
    id: int
    code: str
    url: str
    classes: str
    description: str
    note: str
    quantity: str
    unit: str
    part_code: str
    supplier: str
    each: str
    hours: str
    mass: str
    price: str
    chip: str
    chip_word: str
    by_hand: str
    follow: SafeString | str
    circuits: str
    is_top: bool
    has_kids: bool
    is_open: bool

    def __getitem__(self, name: str) -> Any:
        return getattr(self, name)


@dataclass(slots=True)
class ZoneRows:
    zone: Zone
    rows: list[Row] = field(default_factory=list)
    counted: Sums = field(default_factory=Sums)
    options: Sums = field(default_factory=Sums)
    late: int = 0
    circuits: set[str] = field(default_factory=set)

    @property
    def lines(self) -> int:
        return self.counted.lines + self.options.lines

    @property
    def hours(self) -> str:
        return figure(self.counted.labour_h)

    @property
    def mass(self) -> str:
        return figure(self.counted.mass_kg)

    @property
    def price(self) -> str:
        return amount(self.counted.price)


@dataclass(slots=True)
class SheetPage:
    job: Job
    zones: list[ZoneRows]
    counted: Sums
    options: Sums
    mass_unknown: int
    has_prices: bool
    has_follow_up: bool
    has_circuits: bool
    lines: list[SheetLine]
    chosen: str = ""

    def row(self, line_id: int) -> Row | None:
        return next((r for z in self.zones for r in z.rows if r.line.id == line_id), None)

    def zone(self, code: str) -> ZoneRows | None:
        return next((z for z in self.zones if z.zone.code == code), None)


def sheet_page(
    job: Job,
    *,
    money: bool,
    chosen: str = "",
    open_ids: Collection[int] = (),
    zone: Zone | None = None,
) -> SheetPage:
    """Everything the page needs, in a number of queries that does not grow with the lines.

    With `zone` only its rows and sums, as if the job had no other.
    """
    return _Builder(job, money=money, chosen=chosen, open_ids=open_ids, zone=zone).page()


class _Builder:
    def __init__(
        self,
        job: Job,
        *,
        money: bool,
        chosen: str,
        open_ids: Collection[int],
        zone: Zone | None,
    ) -> None:
        self.job = job
        self.money = money
        self.chosen = chosen
        self.open_ids = open_ids
        self.zones = [zone] if zone else list(job.vessel.zones.all())
        self.lines = sheet_lines(job, zone)
        self.parents = {line.id: line.parent_id for line in self.lines}
        self.prices = figures.price_lines(job, self.lines) if money else None
        self.follow = figures.follow_lines(
            job, self.lines, lambda: sheet_lines(job) if zone else self.lines
        )
        self.circuits = figures.circuits_of_lines(job, self.lines)
        self.sums: dict[int, Sums] = defaultdict(Sums)
        self.drawn_follow: dict[figures.FollowUp, SafeString] = {}

    def page(self) -> SheetPage:
        zones = {zone.pk: ZoneRows(zone) for zone in self.zones}
        page = SheetPage(
            job=self.job,
            zones=list(zones.values()),
            counted=Sums(),
            options=Sums(),
            mass_unknown=sum(line.counts and line.mass_is_unknown for line in self.lines),
            has_prices=self.prices is not None,
            has_follow_up=self.follow is not None,
            has_circuits=self.circuits is not None,
            lines=self.lines,
            chosen=self.chosen if any(z.zone.code == self.chosen for z in zones.values()) else "",
        )
        for line in self.lines:
            self._add_up(line, page, zones[line.zone_id])
        for line in self.lines:
            if line.parent_id is None or self._is_open(line):
                zones[line.zone_id].rows.append(self._row(line))
        for zone in page.zones:
            mark_last_kids(zone.rows)
        return page

    def _add_up(self, line: SheetLine, page: SheetPage, zone: ZoneRows) -> None:
        price = None if self.prices is None else self.prices.get(line.id, ZERO)
        above: int | None = line.id
        while above is not None:
            self.sums[above].add(line, price)
            above = self.parents[above]
        for holder in (page, zone):
            (holder.counted if line.counts else holder.options).add(line, price)
        follow = self.follow.get(line.id) if self.follow else None
        zone.late += bool(follow and follow.late)
        if self.circuits and line.id in self.circuits:
            zone.circuits.update(self.circuits[line.id].split())

    def _is_open(self, line: SheetLine) -> bool:
        above = line.parent_id
        while above is not None:
            if above not in self.open_ids:
                return False
            above = self.parents[above]
        return True

    def _row(self, line: SheetLine) -> Row:
        sums = self.sums[line.id]
        chip, word = chip_of(line)
        return Row(
            line=line,
            id=line.id,
            code=line.code,
            url=f"/jobs/{self.job.number}/lines/{line.id}/",
            classes=classes_of(line),
            description=held_together(line.description),
            note=line.note,
            quantity=quantity_text(line.quantity, 2),
            unit=UNIT_WORDS.get(line.unit, line.unit),
            part_code=line.part_code,
            supplier=line.supplier_name if self.money else "",
            each=self._each(line, sums) if self.money else "",
            hours=figure(sums.labour_h),
            mass=figure(sums.mass_kg),
            price=amount(sums.price) if sums.price is not None else "",
            chip=chip,
            chip_word=word,
            by_hand=line.override_reason if self.money and line.sell_override is not None else "",
            follow=self._follow_words(line),
            circuits=self.circuits.get(line.id, "") if self.circuits else "",
            is_top=line.parent_id is None,
            has_kids=line.kind == LineKind.KIT,
            is_open=line.id in self.open_ids,
        )

    def _follow_words(self, line: SheetLine) -> SafeString | str:
        follow = self.follow.get(line.id) if self.follow else None
        if follow is None:
            return ""
        if follow not in self.drawn_follow:
            self.drawn_follow[follow] = follow_up(follow.state, follow.words, late=follow.late)
        return self.drawn_follow[follow]

    def _each(self, line: SheetLine, sums: Sums) -> str:
        if line.kind == LineKind.CUSTOMER_SUPPLIED:
            return ""
        if line.kind == LineKind.KIT:
            return amount(sums.material / line.effective_quantity)
        return amount(line.unit_cost) if line.unit_cost else ""


def mark_last_kids(rows: list[Row]) -> None:
    """The last line of a kit closes the bracket drawn beside its lines."""
    for index, row in enumerate(rows):
        following = rows[index + 1].line.depth if index + 1 < len(rows) else 0
        if row.line.depth > following:
            row.classes += " last"


def classes_of(line: SheetLine) -> str:
    words = ["kid" if line.depth else "line"]
    if line.depth > 1:
        words.append("deep")
    if not line.is_settled:
        words.append("float")
    if not line.counts:
        words.append("not-counted")
    return " ".join(words)


def chip_of(line: SheetLine) -> tuple[str, str]:
    if line.is_option:
        return CHIPS["taken" if line.taken else "option"]
    return CHIPS.get(line.kind, CHIPS["included"])


def amount(value: Decimal | None) -> str:
    return "" if value is None else f"{round_money(value):,.2f}"


def figure(value: Decimal) -> str:
    """Hours and kilograms to a tenth; nothing where there is nothing."""
    return in_thousands(f"{value:.1f}") if value else ""
