"""All jobs on one calendar: rows by stage, bars to one scale of weeks, hands below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from fitout.home.next_steps import JobFacts, NextStep, facts_of, late_days, next_step
from fitout.home.silhouette import silhouette
from fitout.jobs.models import Job, Stage
from fitout.kit.models import User
from fitout.kit.text import counted
from fitout.workshop.planning import WeekLoad, week_loads

WEEKS = 26
WEEKS_BEFORE = 2
SHOWN = (
    Stage.ENQUIRY,
    Stage.QUOTED,
    Stage.ACCEPTED,
    Stage.IN_BUILD,
    Stage.TRIALS,
    Stage.HANDED_OVER,
)
HANDS_FLOOR, HANDS_ROOM = 92.0, 74.0


@dataclass(frozen=True)
class Calendar:
    """Weeks from `start`; places are per cent of the width."""

    start: date
    today: date

    def x(self, day: date) -> float:
        return max(0.0, min(100.0, (day - self.start).days / (WEEKS * 7) * 100))

    @property
    def today_x(self) -> str:
        return pct(self.x(self.today))

    @property
    def weeks(self) -> list[dict[str, object]]:
        found = []
        for week in range(WEEKS):
            monday = self.start + timedelta(weeks=week)
            is_month = week == 0 or monday.day <= 7
            found.append(
                {
                    "x": pct(week / WEEKS * 100),
                    "width": pct(100 / WEEKS),
                    "day": monday.day,
                    "month": f"{monday:%b}" if is_month else "",
                    "inked": week % 2 == 0,
                    "shows_day": week % 2 == 0,
                }
            )
        return found


def pct(value: float) -> str:
    return f"{value:.2f}%"


@dataclass(frozen=True)
class Bar:
    """A job on the calendar, all places in per cent."""

    label: str
    kind: str
    x: str
    width: str
    done_width: str
    slip_x: str
    slip_width: str
    end_x: str
    end_words: str
    is_late: bool
    asked_x: str
    asked_words: str
    words_before: bool = False


@dataclass(frozen=True)
class JobRow:
    job: Job
    shape: str
    step: NextStep
    bar: Bar | None


@dataclass(frozen=True)
class StageRows:
    name: str
    rows: tuple[JobRow, ...]


@dataclass(frozen=True)
class HandsWeek:
    x: str
    width: str
    y: str
    height: str
    hands_y: str
    middle: str
    right: str
    hours: int
    is_over: bool


@dataclass(frozen=True)
class Board:
    calendar: Calendar
    stages: tuple[StageRows, ...]
    hands: tuple[HandsWeek, ...]
    people: int
    count: int
    late: int
    weeks_over: int


def read_board(*, today: date, late_only: bool = False) -> Board:
    jobs = list(Job.objects.for_title().filter(stage__in=SHOWN).order_by("number"))
    facts = facts_of(jobs, today)
    monday = today - timedelta(days=today.weekday())
    calendar = Calendar(start=monday - timedelta(weeks=WEEKS_BEFORE), today=today)
    rows = [_row(job, facts[job.pk], calendar) for job in jobs]
    shown = [row for row in rows if not late_only or row.step.level == "stop"]
    people = list(User.objects.technicians())
    loads = week_loads(people, calendar.start, WEEKS)
    return Board(
        calendar=calendar,
        stages=tuple(
            StageRows(stage.label, own)
            for stage in SHOWN
            if (own := tuple(row for row in shown if row.job.stage == stage))
        ),
        hands=_hands(loads),
        people=len(people),
        count=len(jobs),
        late=sum(row.step.level == "stop" for row in rows),
        weeks_over=sum(load.is_over for load in loads),
    )


def _row(job: Job, facts: JobFacts, calendar: Calendar) -> JobRow:
    return JobRow(
        job=job,
        shape=silhouette(job.vessel),
        step=next_step(job, facts, calendar.today),
        bar=_bar(job, facts, calendar),
    )


def _bar(job: Job, facts: JobFacts, calendar: Calendar) -> Bar | None:
    today = calendar.today
    if job.stage in (Stage.ENQUIRY, Stage.QUOTED):
        return _asked(job, calendar)
    if job.promised_for is None:
        return None
    start = min(facts.starts_on or job.stage_since, job.promised_for)
    slip_days = late_days(job, facts, today)
    end = job.promised_for + timedelta(days=slip_days)
    left, promised, right = calendar.x(start), calendar.x(job.promised_for), calendar.x(end)
    done = max(0.0, min(calendar.x(today), promised) - left) if job.stage != Stage.ACCEPTED else 0.0
    words = f"{end:%-d %b}"
    return Bar(
        label=f"{start:%-d %b} to {words}"
        + (f", late by {counted(slip_days, 'day')}" if slip_days else ""),
        kind="bar",
        x=pct(left),
        width=pct(max(0.4, promised - left)),
        done_width=pct(done),
        slip_x=pct(promised),
        slip_width=pct(right - promised),
        end_x=pct(min(right, 92.0)),
        end_words=words,
        is_late=slip_days > 0,
        asked_x="",
        asked_words="",
    )


def _asked(job: Job, calendar: Calendar) -> Bar | None:
    if job.asked_for is None:
        return None
    words = f"asked for {job.asked_for:%-d %b}"
    x = calendar.x(job.asked_for)
    return Bar(
        label=words,
        kind="asked",
        x=pct(x),
        width="0%",
        done_width="0%",
        slip_x="0%",
        slip_width="0%",
        end_x=pct(x),
        end_words="",
        is_late=False,
        asked_x=pct(x),
        asked_words=words,
        words_before=x > 65,
    )


def _hands(loads: Sequence[WeekLoad]) -> tuple[HandsWeek, ...]:
    top = max([*(load.promised_h for load in loads), *(load.hands_h for load in loads), Decimal(1)])
    scale = HANDS_ROOM / float(top)
    weeks = []
    for week, load in enumerate(loads):
        height = float(load.promised_h) * scale
        weeks.append(
            HandsWeek(
                x=pct(week / WEEKS * 100),
                width=pct(100 / WEEKS * 0.9),
                y=f"{HANDS_FLOOR - height:.1f}",
                height=f"{height:.1f}",
                hands_y=f"{HANDS_FLOOR - float(load.hands_h) * scale:.1f}",
                middle=pct((week + 0.1) / WEEKS * 100),
                right=pct((week + 1) / WEEKS * 100),
                hours=round(load.promised_h),
                is_over=load.is_over,
            )
        )
    return tuple(weeks)
