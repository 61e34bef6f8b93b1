from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms.boundfield import BoundField

from electrical.day_plans import ACTION, HOURS, assumed_day, put_spans, states_of
from electrical.models import OperatingState, UseProfile
from electrical.use_spans import Span, backwards, first_of, spans_of, stretch
from electrical.year.ports import MONTHS
from fitout.jobs.models import Job
from fitout.kit.audit import Change
from fitout.kit.forms import NumberField, TrackedForm, WholeNumberField
from fitout.kit.money import quantity_text

WEEK = Decimal(7)
#: Rows shown at once; the others, one for each hour of a day, are folded away.
LEAST_ROWS, SPARE_ROWS = 5, 2
SEASON = [("", "All year"), *enumerate(MONTHS, start=1)]


@dataclass(frozen=True)
class SpanFields:
    number: int
    start: BoundField
    end: BoundField
    state: BoundField

    @property
    def fields(self) -> tuple[BoundField, ...]:
        return self.start, self.end, self.state

    @property
    def is_wrong(self) -> bool:
        return any(field.errors for field in self.fields)


class UseProfileForm(TrackedForm):
    """One kind of day: how often it comes, when in the year, and its 24 hours as spans."""

    action = ACTION
    two_wide = ("name",)
    first_in_row = ("first_month",)

    days_per_week = NumberField(
        label="Days a week",
        min_value="0.1",
        max_value=7,
        decimal_places=1,
        unit="days",
    )
    first_month = forms.TypedChoiceField(
        label="From month", choices=SEASON, coerce=int, empty_value=None, required=False
    )
    last_month = forms.TypedChoiceField(
        label="To month, with it", choices=SEASON, coerce=int, empty_value=None, required=False
    )

    class Meta:
        model = UseProfile
        fields = ["name", "days_per_week", "first_month", "last_month"]
        labels = {"name": "Kind of day"}
        help_texts = {"name": "Such as “Working day” or “Night at anchor”."}

    def __init__(self, profile: UseProfile, data: Any = None) -> None:
        super().__init__(data, instance=profile)
        self.scope = profile.job.scope
        self.states: tuple[str, ...] = ()
        spans = spans_of(_shown_states(profile))
        for number in range(1, HOURS + 1):
            span = spans[number - 1] if number <= len(spans) else None
            self._add_row(number, span)
        self.stored_rows = len(spans)

    def _add_row(self, number: int, span: Span | None) -> None:
        for name, label, low, high in (("from", "From", 0, 23), ("to", "To", 1, 24)):
            self.fields[f"{name}_{number}"] = WholeNumberField(
                label=f"{label} of span {number}",
                min_value=low,
                max_value=high,
                unit="h",
                required=False,
                initial=None if span is None else span.start if name == "from" else span.end,
            )
        self.fields[f"state_{number}"] = forms.ChoiceField(
            label=f"State of span {number}",
            choices=[("", "Choose"), *OperatingState.choices],
            required=False,
            initial=None if span is None else span.state,
        )
        for name in ("from", "to", "state"):
            self.prepare_field(f"{name}_{number}")

    @property
    def own_fields(self) -> list[BoundField]:
        return [self[name] for name in self.Meta.fields]

    @property
    def rows(self) -> list[SpanFields]:
        return list(self._rows())[: self._open_rows]

    @property
    def more_rows(self) -> list[SpanFields]:
        return list(self._rows())[self._open_rows :]

    @property
    def _open_rows(self) -> int:
        typed = [row.number for row in self._rows() if any(_has_value(f) for f in row.fields)]
        return min(max(LEAST_ROWS, max(typed, default=0) + SPARE_ROWS), HOURS)

    def _rows(self) -> Iterator[SpanFields]:
        for n in range(1, HOURS + 1):
            yield SpanFields(n, self[f"from_{n}"], self[f"to_{n}"], self[f"state_{n}"])

    # What was typed.

    def clean_name(self) -> str:
        name = str(self.cleaned_data["name"])
        others = UseProfile.objects.filter(job=self.instance.job, name=name)
        if others.exclude(pk=self.instance.pk).exists():
            raise ValidationError(f"this job has a “{name}” already; a name stands once.")
        return name

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        self._check_season(cleaned)
        self._check_week(cleaned)
        spans = self._spans(cleaned)
        if not any(name in self.errors for name in self._span_names()):
            self.states = self._covered(spans)
        return cleaned

    def _span_names(self) -> list[str]:
        return [f"{name}_{n}" for n in range(1, HOURS + 1) for name in ("from", "to", "state")]

    def _check_season(self, cleaned: dict[str, Any]) -> None:
        first, last = cleaned.get("first_month"), cleaned.get("last_month")
        if "first_month" in self.errors or "last_month" in self.errors:
            return
        if (first is None) != (last is None):
            missing = "first_month" if first is None else "last_month"
            self.add_error(missing, "a season has a first and a last month; choose both or none.")

    def _check_week(self, cleaned: dict[str, Any]) -> None:
        """No month has more than seven days a week."""
        names = ("days_per_week", "first_month", "last_month")
        if any(name in self.errors for name in names):
            return
        mine = Decimal(cleaned["days_per_week"])
        told = UseProfile(**{name: cleaned[name] for name in names})
        others = UseProfile.objects.filter(job=self.instance.job).exclude(pk=self.instance.pk)
        held = list(others)
        for month in sorted(told.months):
            beside = [one for one in held if month in one.months]
            total = mine + sum((one.days_per_week for one in beside), Decimal(0))
            if total > WEEK:
                rest = " and ".join(
                    f"{quantity_text(one.days_per_week, 1)} of “{one.name}”" for one in beside
                )
                self.add_error(
                    "days_per_week",
                    f"{quantity_text(mine, 1)} here and {rest} make {quantity_text(total, 1)} in "
                    f"{MONTHS[month - 1]}; a week has 7 days at most.",
                )
                return

    def _spans(self, cleaned: dict[str, Any]) -> list[Span]:
        spans = []
        for n in range(1, HOURS + 1):
            typed: dict[str, Any] = {
                name: cleaned.get(f"{name}_{n}") for name in ("from", "to", "state")
            }
            known = [name for name, value in typed.items() if value not in (None, "")]
            if not known or any(f"{name}_{n}" in self.errors for name in typed):
                continue
            for name in typed:
                if name not in known:
                    self.add_error(f"{name}_{n}", "a span has a from, a to and a state.")
            if len(known) == len(typed):
                start, end = int(typed["from"]), int(typed["to"])
                if start == end:
                    self.add_error(
                        f"to_{n}", f"{end} h is where it begins; a whole day goes from 0 to 24 h."
                    )
                spans.append(Span(n, start, end, typed["state"]))
        return spans

    def _covered(self, spans: list[Span]) -> tuple[str, ...]:
        """The state in each hour; overlaps and gaps are told at the field of their span."""
        if not spans:
            self.add_error("from_1", "nothing is told; the spans must cover all 24 hours of a day.")
            return ()
        owner: dict[int, Span] = {}
        for span in spans:
            twice = [hour for hour in span.hours if hour in owner]
            if twice:
                other, hours = owner[twice[0]], stretch(twice)
                self.add_error(
                    f"from_{span.number}",
                    f"{hours} is told by span {other.number} too; an hour has one state.",
                )
            owner |= {hour: span for hour in span.hours if hour not in owner}
        untold = [hour for hour in range(HOURS) if hour not in owner]
        if untold:
            before = owner[next(h for h in backwards(first_of(untold)) if h in owner)]
            self.add_error(
                f"to_{before.number}",
                f"{stretch(untold)} is told by no span; together they must cover 24 hours.",
            )
        if untold or any(name in self.errors for name in self._span_names()):
            return ()
        return tuple(owner[hour].state for hour in range(HOURS))

    # Saving.

    def entry_label(self, *, adding: bool) -> str:
        return f"Use profile {self.instance}"

    def save_watched(self, user: Any, change: Change) -> None:
        self.instance.is_clock_assumed = False
        super().save_watched(user, change)
        put_spans(self.instance, self.states, change)

    def show_both(self, stored: Any) -> None:
        super().show_both(stored)
        if stored is None:
            return
        now = spans_of(states_of(stored.spans.all()))
        if not self.states or tuple(states_of(stored.spans.all())) != self.states:
            told = "; ".join(span.text for span in now)
            self.add_error("from_1", f"the hours stored now are: {told}.")


def _has_value(field: BoundField) -> bool:
    return field.value() not in (None, "")


def _shown_states(profile: UseProfile) -> tuple[str, ...]:
    """As stored; a first profile starts from the assumed day, a further one from nothing."""
    if not profile._state.adding:
        return states_of(profile.spans.all())
    if UseProfile.objects.filter(job_id=profile.job_id).exists():
        return ()
    return assumed_day(profile.job).states


def profile_for(job: Job, pk: int | None = None) -> UseProfile | None:
    """The profile to edit, or a new one; the first takes the whole week, a further one what is
    left of it."""
    if pk is not None:
        return UseProfile.objects.select_related("job", "changed_by").filter(job=job, pk=pk).first()
    taken = sum((one.days_per_week for one in job.use_profiles.all()), Decimal(0))
    left = WEEK - taken
    return UseProfile(job=job, days_per_week=left if left > 0 else Decimal(1))
