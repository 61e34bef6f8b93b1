"""How the vessel is used in a day, and how long each device is on in each state."""

from collections.abc import Mapping
from decimal import Decimal

from electrical.models import DayPlan, Device, DutyOverride, HomePort, OperatingState
from fitout.jobs.models import Job, VesselKind
from fitout.kit.audit import tracked
from fitout.kit.models import User

DAY_H = Decimal(24)

#: Taken until somebody enters the owner's own day. Common practice, no source.
ASSUMED_AFLOAT_H: dict[str, Decimal] = {
    OperatingState.UNDER_WAY_DAY: Decimal("3.0"),
    OperatingState.UNDER_WAY_NIGHT: Decimal("1.0"),
    OperatingState.AT_ANCHOR: Decimal("4.0"),
    OperatingState.WORKING: Decimal("4.0"),
    OperatingState.ENGINE_START: Decimal("0.0"),
    OperatingState.SHORE: Decimal("0.0"),
    OperatingState.IDLE: Decimal("12.0"),
}
ASSUMED_ON_ROAD_H: dict[str, Decimal] = {
    **dict.fromkeys(OperatingState.values, Decimal("0.0")),
    OperatingState.UNDER_WAY_DAY: Decimal("2.0"),
    OperatingState.UNDER_WAY_NIGHT: Decimal("0.5"),
    OperatingState.AT_ANCHOR: Decimal("21.5"),
}


def assumed_hours(job: Job) -> dict[str, Decimal]:
    return dict(ASSUMED_AFLOAT_H if job.vessel.kind == VesselKind.BOAT else ASSUMED_ON_ROAD_H)


def stored_hours(job: Job) -> dict[str, Decimal] | None:
    """Hours by state as entered; None when nobody has entered any."""
    rows = {plan.state: plan.hours for plan in DayPlan.objects.filter(job=job)}
    if not rows:
        return None
    return {state: rows.get(state, Decimal(0)) for state in OperatingState.values}


def set_day_plan(job: Job, hours: Mapping[str, Decimal], by: User) -> None:
    """Store the whole day at once; the caller has checked that it adds up to 24 h."""
    if sum(hours.values()) != DAY_H:
        raise ValueError(f"Day plan: hours add up to {sum(hours.values())} h, must be 24 h.")
    stored = {plan.state: plan for plan in DayPlan.objects.filter(job=job)}
    with tracked(actor=by, scope=job.scope, label="Day plan", action="wiring.energy") as change:
        for state, value in hours.items():
            plan = stored.get(state)
            if plan is None:
                change.created(DayPlan.objects.create(job=job, state=state, hours=value))
            elif plan.hours != value:
                change.watch(plan)
                plan.hours = value
                plan.save_if_version(plan.version, by=by)


def set_home_port(job: Job, *, by: User, version: int | None = None, **values: object) -> HomePort:
    """Sun, cold and where they are from; raises `StaleVersion` if the row moved on."""
    stored = HomePort.objects.filter(job=job).first()
    label = "Sun and cold at the home port"
    with tracked(actor=by, scope=job.scope, label=label, action="wiring.energy") as change:
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
    with tracked(actor=by, scope=scope, label=label, action="wiring.energy") as change:
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
