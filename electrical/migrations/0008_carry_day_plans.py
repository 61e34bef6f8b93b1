"""Hours a day by state become one use profile, seven days a week; when they fall is assumed."""

from collections import defaultdict
from decimal import Decimal
from typing import Any

from django.db import migrations

NAME = "Usual day"
HOURS = 24
WORK = ("engine_start", "under_way_day", "working", "under_way_night", "shore")
REST = ("idle", "at_anchor")


def states_of(hours_by_state: dict[str, Decimal]) -> list[str]:
    """Whole hours, the largest remainders rounded up; rest lies around the work."""
    whole = {state: int(hours_by_state.get(state, 0)) for state in (*WORK, *REST)}
    by_rest = sorted(whole, key=lambda state: whole[state] - hours_by_state.get(state, Decimal(0)))
    for state in by_rest[: HOURS - sum(whole.values())]:
        whole[state] += 1
    early = [state for state in REST for _ in range(whole[state] // 2)]
    late = [s for s in reversed(REST) for _ in range(whole[s] - whole[s] // 2)]
    work = [state for state in WORK for _ in range(whole[state])]
    return [*early, *work, *late]


def starts_of(states: list[str]) -> dict[int, str]:
    """Hours in which another state begins; one for a day of one state."""
    starts = {hour: s for hour, s in enumerate(states) if s != states[hour - 1]}
    return starts or {0: states[0]}


def carry(apps: Any, schema_editor: Any) -> None:
    day_plan = apps.get_model("electrical", "DayPlan")
    profile = apps.get_model("electrical", "UseProfile")
    span = apps.get_model("electrical", "ProfileSpan")
    carried: list[int] = []
    by_job: dict[int, dict[str, Decimal]] = defaultdict(dict)
    for row in day_plan.objects.order_by("pk"):
        by_job[row.job_id][row.state] = row.hours
    for job_id, hours in by_job.items():
        if sum(hours.values()) != HOURS:
            continue
        made = profile.objects.create(
            job_id=job_id, name=NAME, days_per_week=Decimal(7), is_clock_assumed=True
        )
        span.objects.bulk_create(
            span(profile=made, from_hour=hour, state=state)
            for hour, state in starts_of(states_of(hours)).items()
        )
        carried.append(job_id)
    # What is gone cannot be undone unseen: the audit trail says that it was removed since.
    day_plan.objects.filter(job_id__in=carried).delete()


def put_back(apps: Any, schema_editor: Any) -> None:
    """Of several profiles the first: hours a day hold no more."""
    day_plan = apps.get_model("electrical", "DayPlan")
    profile = apps.get_model("electrical", "UseProfile")
    seen: set[int] = set()
    for row in profile.objects.order_by("pk").prefetch_related("spans"):
        if row.job_id in seen:
            continue
        seen.add(row.job_id)
        starts = sorted((one.from_hour, one.state) for one in row.spans.all())
        hours: dict[str, int] = defaultdict(int)
        for (hour, state), (until, _) in zip(starts, [*starts[1:], starts[0]], strict=True):
            hours[state] += (until - hour) % HOURS or HOURS
        day_plan.objects.bulk_create(
            day_plan(job_id=row.job_id, state=state, hours=Decimal(count))
            for state, count in hours.items()
        )
    profile.objects.all().delete()


class Migration(migrations.Migration):
    dependencies = [("electrical", "0007_use_profiles")]

    operations = [migrations.RunPython(carry, put_back)]
