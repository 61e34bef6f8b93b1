"""What a job needs to buy: the build sheet's parts and what its circuits are made of."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from catalogue.models import Part, SupplierPart
from electrical.needs import CircuitNeed
from electrical.needs import needs as circuit_needs
from fitout.jobs.models import Job
from fitout.jobs.sheet import sheet_lines
from fitout.kit.money import quantity_text, round_money
from fitout.kit.text import counted
from fitout.purchasing.dealing import deal, is_bought
from fitout.purchasing.followup import FollowUp, Progress, progress_by_part

ZERO = Decimal(0)
NOTHING = Progress()


@dataclass(frozen=True, kw_only=True)
class Source:
    """Why a quantity is needed: a line of the build sheet or a circuit."""

    label: str
    quantity: Decimal


@dataclass(frozen=True, kw_only=True)
class Need:
    part: Part
    quantity: Decimal
    sources: tuple[Source, ...]
    progress: Progress
    offers: tuple[SupplierPart, ...]

    @property
    def offer(self) -> SupplierPart | None:
        """The preferred offer, else the cheapest."""
        return self.offers[0] if self.offers else None

    @property
    def state(self) -> FollowUp:
        return self.progress.state(self.quantity)

    @property
    def short(self) -> Decimal:
        return self.progress.still_to_order(self.quantity)

    @property
    def to_draft(self) -> Decimal:
        """Still to put on an order, drafts counted."""
        return max(ZERO, self.short - self.progress.drafted)

    @property
    def order_quantity(self) -> Decimal:
        return ZERO if self.offer is None else self.offer.order_quantity(self.to_draft)

    @property
    def rounding(self) -> str:
        """Why more is ordered than is missing; empty when it is not."""
        if self.offer is None or self.order_quantity == self.to_draft:
            return ""
        return rounding_words(self.to_draft, self.order_quantity, self.offer, self.part.unit)

    @property
    def order_cost(self) -> Decimal:
        return ZERO if self.offer is None else round_money(self.order_quantity * self.offer.cost)


@dataclass
class _Gathered:
    part: Part
    sources: list[Source] = field(default_factory=list)


def rounding_words(short: Decimal, ordered: Decimal, offer: SupplierPart, unit: str) -> str:
    words = f"{quantity_text(short)} {unit} missing"
    if offer.minimum_order > short:
        words += f", minimum order {quantity_text(offer.minimum_order)}"
    if offer.pack_quantity != 1:
        words += f", packs of {quantity_text(offer.pack_quantity)}"
    return f"{words}: {quantity_text(ordered)} {unit}"


def needs_of(job: Job) -> list[Need]:
    """Every part the job needs or holds, by category and code."""
    gathered = _gather(job)
    progress = progress_by_part(job)
    strays = set(progress) - set(gathered)
    for part in Part.objects.filter(pk__in=strays):
        gathered[part.pk] = _Gathered(part)
    offers = _offers(gathered)
    needs = [
        Need(
            part=item.part,
            quantity=sum((source.quantity for source in item.sources), ZERO),
            sources=tuple(item.sources),
            progress=progress.get(pk, NOTHING),
            offers=tuple(offers.get(pk, ())),
        )
        for pk, item in gathered.items()
    ]
    return sorted(needs, key=lambda need: (need.part.category, need.part.code))


def _gather(job: Job) -> dict[int, _Gathered]:
    gathered: dict[int, _Gathered] = {}
    bought = [line for line in sheet_lines(job) if is_bought(line)]
    parts = Part.objects.in_bulk({line.part_id for line in bought})
    for line in bought:
        part = parts[line.part_id]
        item = gathered.setdefault(part.pk, _Gathered(part))
        label = f"{line.code} {line.description}"
        item.sources.append(Source(label=label, quantity=line.effective_quantity))
    for need, from_sheet in deal(bought, circuit_needs(job)).from_sheet:
        item = gathered.setdefault(need.part.pk, _Gathered(need.part))
        item.sources.append(_source(need, from_sheet))
    return gathered


def _source(need: CircuitNeed, from_sheet: Decimal) -> Source:
    """What a circuit takes beside the build sheet, and how much stands there."""
    label = need.circuit.label
    if from_sheet == need.quantity:
        label += ", from the build sheet"
    elif from_sheet:
        label += f", {quantity_text(from_sheet)} of it from the build sheet"
    return Source(label=label, quantity=need.quantity - from_sheet)


def _offers(gathered: dict[int, _Gathered]) -> dict[int, list[SupplierPart]]:
    offers: defaultdict[int, list[SupplierPart]] = defaultdict(list)
    rows = SupplierPart.objects.filter(part__in=gathered, supplier__active=True)
    for offer in rows.select_related("supplier").best_first():
        offers[offer.part_id].append(offer)
    return offers


@dataclass(frozen=True, kw_only=True)
class Shortage:
    need: Need
    words: str
    is_late: bool

    @property
    def group(self) -> str:
        if self.is_late:
            return "Late"
        return "Not ordered" if self.need.short > 0 else "To come"


def shortages(needs: Sequence[Need], today: date) -> list[Shortage]:
    """What is not here yet, the worst first: late, not ordered, to come."""
    found = [shortage for need in needs if (shortage := _shortage(need, today))]
    return sorted(
        found, key=lambda s: (not s.is_late, s.need.progress.to_come > 0, s.need.part.code)
    )


def _shortage(need: Need, today: date) -> Shortage | None:
    progress = need.progress
    if progress.is_late(today) and progress.due_on is not None:
        days = (today - progress.due_on).days
        words = f"{_amount(progress.to_come, need)} late by {counted(days, 'day')}"
        return Shortage(need=need, words=words, is_late=True)
    if need.short > 0:
        words = f"{_amount(need.short, need)} not ordered"
        if need.offer is None:
            words += "; no supplier offers it"
        return Shortage(need=need, words=words, is_late=False)
    if progress.to_come > 0:
        due = f", due {progress.due_on:%-d %b}" if progress.due_on else ""
        return Shortage(
            need=need, words=f"{_amount(progress.to_come, need)} to come{due}", is_late=False
        )
    return None


def _amount(quantity: Decimal, need: Need) -> str:
    return f"{quantity_text(quantity)} {need.part.unit}"
