"""How the vessel is used in a day, and how long each device is on in each state."""

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal

from electrical.core.energy.profiles import UseProfile as Day
from electrical.models import (
    Device,
    DutyOverride,
    HomePort,
    OperatingState,
    ProfileSpan,
    UseProfile,
)
from fitout.jobs.models import Job, VesselKind
from fitout.kit.audit import Change, tracked
from fitout.kit.models import User

HOURS = 24
ACTION = "wiring.change"
ASSUMED_NAME = "Assumed day"
States = tuple[str, ...]


def day_of(*spans: tuple[str, int]) -> States:
    """The state in each hour from midnight, from states and how many hours each lasts."""
    return tuple(str(state) for state, hours in spans for _ in range(hours))


#: Taken until somebody enters the owner's own day. Common practice, no source.
ASSUMED_AFLOAT = day_of(
    (OperatingState.IDLE, 6),
    (OperatingState.AT_ANCHOR, 2),
    (OperatingState.UNDER_WAY_DAY, 3),
    (OperatingState.WORKING, 4),
    (OperatingState.UNDER_WAY_NIGHT, 1),
    (OperatingState.AT_ANCHOR, 2),
    (OperatingState.IDLE, 6),
)
ASSUMED_ON_ROAD = day_of(
    (OperatingState.AT_ANCHOR, 10),
    (OperatingState.UNDER_WAY_DAY, 2),
    (OperatingState.UNDER_WAY_NIGHT, 1),
    (OperatingState.AT_ANCHOR, 11),
)


def assumed_day(job: Job) -> Day:
    is_boat = job.vessel.kind == VesselKind.BOAT
    return Day(name=ASSUMED_NAME, states=ASSUMED_AFLOAT if is_boat else ASSUMED_ON_ROAD)


def states_of(spans: Iterable[ProfileSpan]) -> States:
    """The state in each hour; before the first span of the day the last one still holds."""
    starts = {span.from_hour: span.state for span in spans}
    state, states = starts[max(starts)], []
    for hour in range(HOURS):
        state = starts.get(hour, state)
        states.append(state)
    return tuple(states)


def starts_of(states: Sequence[str]) -> dict[int, str]:
    """Hours in which another state begins; one for a day of one state."""
    starts = {hour: state for hour, state in enumerate(states) if state != states[hour - 1]}
    return starts or {0: states[0]}


def day_from(profile: UseProfile) -> Day:
    """As the core takes it; reads `spans`, which should have been fetched before."""
    return Day(
        name=profile.name,
        states=states_of(profile.spans.all()),
        days_per_week=float(profile.days_per_week),
        months=profile.months,
    )


def put_spans(profile: UseProfile, states: Sequence[str], change: Change) -> None:
    wanted = starts_of(states)
    for span in profile.spans.all():
        state = wanted.pop(span.from_hour, None)
        if state is None:
            change.removing(span)
            span.delete()
        elif state != span.state:
            change.watch(span)
            span.state = state
            span.save()
    for hour, state in wanted.items():
        made = ProfileSpan.objects.create(profile=profile, from_hour=hour, state=state)
        change.created(made)


def add_profile(
    job: Job,
    *,
    by: User,
    name: str,
    states: Sequence[str],
    days_per_week: Decimal = Decimal(7),
    season: tuple[int | None, int | None] = (None, None),
) -> UseProfile:
    label = f"Use profile {name}"
    with tracked(actor=by, scope=job.scope, label=label, action=ACTION) as change:
        made = UseProfile.objects.create(
            job=job,
            name=name,
            days_per_week=days_per_week,
            first_month=season[0],
            last_month=season[1],
            changed_by=by,
        )
        change.created(made)
        put_spans(made, states, change)
    return made


def remove_profile(profile: UseProfile, by: User) -> bool:
    """False where it is the last one: a vessel that is used is used in some way."""
    others = UseProfile.objects.filter(job=profile.job).exclude(pk=profile.pk)
    if not others.exists():
        return False
    label = f"Use profile {profile.name} removed"
    with tracked(actor=by, scope=profile.job.scope, label=label, action=ACTION) as change:
        change.removing(profile)
        profile.delete()
    return True


def set_home_port(job: Job, *, by: User, version: int | None = None, **values: object) -> HomePort:
    """Sun, cold and where they are from; raises `StaleVersion` if the row moved on."""
    stored = HomePort.objects.filter(job=job).first()
    label = "Sun and cold at the home port"
    with tracked(actor=by, scope=job.scope, label=label, action=ACTION) as change:
        if stored is None:
            made = HomePort.objects.create(job=job, changed_by=by, **values)
            change.created(made)
            return made
        change.watch(stored)
        for name, value in values.items():
            setattr(stored, name, value)
        return stored.save_if_version(stored.version if version is None else version, by=by)


def set_duties(device: Device, duties: Mapping[str, Decimal | None], by: User) -> None:
    """Shares of time on by state; None goes back to the part's own figure."""
    label = f"Time on of {device.label}"
    scope = device.job.scope
    stored = {row.state: row for row in DutyOverride.objects.filter(device=device)}
    with tracked(actor=by, scope=scope, label=label, action=ACTION) as change:
        for state, duty in duties.items():
            row = stored.get(state)
            if row is None and duty is not None:
                made = DutyOverride.objects.create(device=device, state=state, duty=duty)
                change.created(made)
            elif row is not None and duty is None:
                change.removing(row)
                row.delete()
            elif row is not None and duty is not None and row.duty != duty:
                change.watch(row)
                row.duty = duty
                row.save_if_version(row.version, by=by)
