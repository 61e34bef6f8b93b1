"""The figures of a job that every change may move, and the difference between two states.

Price and margin, labour, energy, mass, promise date, findings. Each is computed from the
build sheet, the circuits, the orders and the tasks as they stand; None means "cannot tell".
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, fields
from datetime import date, timedelta
from decimal import Decimal
from typing import Any, Self

from electrical.check import Checked, check
from fitout.jobs.models import Job
from fitout.jobs.sheet import SheetLine
from fitout.kit.models import User, Workshop
from fitout.kit.text import counted
from fitout.purchasing.needs import Need, needs_of
from fitout.workshop.calendar import next_working_day, working_days
from fitout.workshop.clock import booked_h
from fitout.workshop.models import Task
from fitout.workshop.parts_due import due_day
from quotes.sheet_rows import PricedSheet, priced_sheet

ZERO = Decimal(0)
TENTH = Decimal("0.1")
#: Words beside a figure, which do not move by themselves.
TEXTS = ("ready_reason", "use_profile")


@dataclass(frozen=True, kw_only=True)
class Promise:
    """When the job can be ready, and what decides it."""

    ready_on: date
    reason: str


@dataclass(frozen=True, kw_only=True)
class Figures:
    gross: Decimal
    net: Decimal
    margin_pct: Decimal | None
    options_net: Decimal
    hours: Decimal
    booked_h: Decimal
    use_ah: Decimal | None
    usable_ah: Decimal | None
    autonomy_days: Decimal | None
    use_profile: str
    mass_kg: Decimal
    centre_x_m: Decimal | None
    masses_unknown: int
    ready_on: date
    ready_reason: str
    stops: int
    attentions: int
    notes: int
    cannot_tells: int
    circuits: int
    circuits_passed: int

    def stored(self) -> dict[str, Any]:
        """As JSON holds it."""
        return {
            name: value if value is None or isinstance(value, int) else str(value)
            for name, value in asdict(self).items()
        }

    @classmethod
    def restored(cls, values: dict[str, Any]) -> Self | None:
        """Back from JSON; None when an older version stored other figures."""
        names = {field.name: str(field.type) for field in fields(cls)}
        if set(values) != set(names):
            return None
        return cls(**{name: _typed(names[name], value) for name, value in values.items()})


def _typed(type_name: str, value: Any) -> Any:
    if value is None or type_name in {"int", "str"}:
        return value
    return date.fromisoformat(value) if type_name == "date" else Decimal(value)


@dataclass(frozen=True, kw_only=True)
class Move:
    """One figure that differs between two states. `delta` is after less before; for a date it
    is days; None when one of the two cannot be told."""

    figure: str
    delta: Decimal | None


def difference(before: Figures, after: Figures) -> dict[str, Move]:
    """The figures that moved, by name."""
    moves = {}
    for field in fields(Figures):
        old, new = getattr(before, field.name), getattr(after, field.name)
        if old != new and field.name not in TEXTS:
            moves[field.name] = Move(figure=field.name, delta=_delta(old, new))
    return moves


def _delta(old: Any, new: Any) -> Decimal | None:
    if old is None or new is None:
        return None
    if isinstance(new, date):
        return Decimal((new - old).days)
    return Decimal(new) - Decimal(old)


def figures(job: Job, *, today: date) -> Figures:
    sheet = priced_sheet(job)
    checked = check(job)
    needs = needs_of(job)
    booked = sum(booked_h(job).values(), ZERO)
    price = sheet.price
    energy = checked.energy
    mass_kg, centre_x_m, unknown = mass_of(sheet)
    promise = promise_of(job, sheet, needs, booked=booked, today=today)
    counts = checked.counts
    return Figures(
        gross=price.gross,
        net=price.net,
        margin_pct=price.margin_pct,
        options_net=price.options_net,
        hours=price.hours.quantize(TENTH),
        booked_h=booked.quantize(TENTH),
        use_ah=_rounded(energy.balance.use_ah if energy.balance.is_use_complete else None, "1"),
        usable_ah=_rounded(energy.autonomy.usable_ah, "1"),
        autonomy_days=_rounded(energy.autonomy.days, "0.1"),
        use_profile=energy.profile.name if energy.is_one_of_several else "",
        mass_kg=mass_kg.quantize(Decimal(1)),
        centre_x_m=centre_x_m,
        masses_unknown=unknown,
        ready_on=promise.ready_on,
        ready_reason=promise.reason,
        stops=counts["stop"],
        attentions=counts["attention"],
        notes=counts["note"],
        cannot_tells=counts["cannot_tell"],
        circuits=len(checked.facts.circuits),
        circuits_passed=circuits_passed(checked),
    )


def _rounded(value: float | None, step: str) -> Decimal | None:
    return None if value is None else Decimal(str(value)).quantize(Decimal(step))


def circuits_passed(checked: Checked) -> int:
    return sum(not checked.by_circuit.get(circuit.pk) for circuit in checked.facts.circuits)


def mass_of(sheet: PricedSheet) -> tuple[Decimal, Decimal | None, int]:
    """Mass of the vessel as delivered and of all that counts, its centre from the transom,
    and how many lines have no mass. A line without a place lies at the middle of its zone."""
    job = sheet.job
    middles = {zone.pk: (zone.x_min_m + zone.x_max_m) / 2 for zone in job.vessel.zones.all()}
    total, moment = ZERO, ZERO
    counted = [line for line in sheet.lines if line.counts]
    for line in counted:
        total += line.mass_kg_total
        moment += line.mass_kg_total * _x_of(line, middles)
    light_kg, light_x_m = job.vessel.light_mass_kg, job.vessel.light_x_m
    unknown = sum(line.mass_is_unknown for line in counted)
    if light_kg is None or light_x_m is None:
        return total, None, unknown
    total, moment = total + light_kg, moment + light_kg * light_x_m
    return total, (moment / total).quantize(Decimal("0.01")), unknown


def _x_of(line: SheetLine, middles: dict[int, Decimal]) -> Decimal:
    return line.x_m if line.x_m is not None else middles[line.zone_id]


def promise_of(
    job: Job, sheet: PricedSheet, needs: list[Need], *, booked: Decimal, today: date
) -> Promise:
    """The later of: the last part in hand and a day to fit it; the hours left, worked one after
    the other by the hands there are; the end of the plan when tasks have dates."""
    country = Workshop.current().country
    last_part = max(
        ((day, need) for need in needs if (day := due_day(need, today))),
        key=lambda pair: pair[0],
        default=None,
    )
    left_h = max(ZERO, sheet.price.hours - booked)
    ways = [_by_hours(left_h, today, country)]
    if last_part is not None:
        day, need = last_part
        ready = next_working_day(day + timedelta(days=1), country)
        weeks = -(-(day - today).days // 7)
        ways.append(
            Promise(
                ready_on=ready,
                reason=f"longest: {need.part.code}, {counted(weeks, 'week')}",
            )
        )
    plan_end = _end_of_plan(job)
    if plan_end is not None:
        ways.append(Promise(ready_on=plan_end, reason="end of the plan"))
    return max(ways, key=lambda promise: promise.ready_on)


def _by_hours(left_h: Decimal, today: date, country: str) -> Promise:
    people = User.objects.technicians()
    per_day = max(people.values_list("hours_per_day", flat=True), default=Decimal(8))
    days = int(-(-left_h // per_day)) or 1
    for count, day in enumerate(working_days(today, country), 1):
        if count >= days:
            return Promise(
                ready_on=day, reason=f"{left_h.quantize(Decimal(1))} h left, one pair of hands"
            )
    raise AssertionError("working days do not end")


def _end_of_plan(job: Job) -> date | None:
    dates = Task.objects.open().filter(job=job, due_on__isnull=False)
    return dates.order_by("-due_on").values_list("due_on", flat=True).first()
