"""Hours a day by state, told before there were use profiles, become one."""

from decimal import Decimal
from importlib import import_module

import pytest
from django.apps import apps

from electrical.models import DayPlan, ProfileSpan, UseProfile
from fitout.jobs.models import Job
from fitout.kit.audit import tracked
from fitout.kit.models import User
from fitout.kit.undo import CannotUndo, undo
from tests.factories.electrical import make_small_vessel

pytestmark = pytest.mark.django_db
migration = import_module("electrical.migrations.0008_carry_day_plans")


@pytest.fixture
def job(estimator: User) -> Job:
    return make_small_vessel(estimator)


def told(job: Job, **hours: str) -> None:
    for state, value in hours.items():
        DayPlan.objects.create(job=job, state=state, hours=Decimal(value))


def hours_of(profile: UseProfile) -> dict[str, int]:
    """Hours in each state, counted span by span around midnight."""
    spans = list(profile.spans.order_by("from_hour"))
    found: dict[str, int] = {}
    for span, after in zip(spans, [*spans[1:], spans[0]], strict=True):
        count = (after.from_hour - span.from_hour) % 24 or 24
        found[span.state] = found.get(span.state, 0) + count
    return found


def test_hours_become_one_profile_whose_clock_is_assumed(job: Job) -> None:
    told(job, idle="11", at_anchor="4", under_way_day="3", under_way_night="1", working="5")
    migration.carry(apps, None)
    profile = UseProfile.objects.get(job=job)
    assert (profile.days_per_week, profile.is_clock_assumed) == (Decimal(7), True)
    assert profile.months == frozenset(range(1, 13))
    assert hours_of(profile) == {
        "idle": 11,
        "at_anchor": 4,
        "under_way_day": 3,
        "under_way_night": 1,
        "working": 5,
    }
    assert not DayPlan.objects.exists()


def test_parts_of_an_hour_go_to_the_state_they_belong_to_most(job: Job) -> None:
    told(job, under_way_day="2.60", at_anchor="21.40")
    migration.carry(apps, None)
    assert hours_of(UseProfile.objects.get(job=job)) == {"under_way_day": 3, "at_anchor": 21}


def test_a_day_of_one_state_is_one_span(job: Job) -> None:
    told(job, at_anchor="24", idle="0")
    migration.carry(apps, None)
    assert ProfileSpan.objects.filter(profile__job=job).count() == 1
    assert hours_of(UseProfile.objects.get(job=job)) == {"at_anchor": 24}


def test_a_job_without_a_plan_gets_no_profile(job: Job) -> None:
    migration.carry(apps, None)
    assert not UseProfile.objects.exists()


def test_it_can_be_taken_back(job: Job) -> None:
    told(job, under_way_day="3", at_anchor="21")
    migration.carry(apps, None)
    migration.put_back(apps, None)
    assert not UseProfile.objects.exists()
    rows = DayPlan.objects.filter(job=job).values_list("state", "hours")
    assert dict(rows) == {"under_way_day": Decimal(3), "at_anchor": Decimal(21)}


def test_an_entry_about_the_hours_cannot_be_undone_unseen(job: Job, estimator: User) -> None:
    with tracked(actor=estimator, scope=job.scope, label="Day plan") as change:
        plan = DayPlan.objects.create(job=job, state="at_anchor", hours=Decimal(24))
        change.created(plan)
    migration.carry(apps, None)
    assert change.entry is not None
    with pytest.raises(CannotUndo, match="was removed since"):
        undo(change.entry, by=estimator)
