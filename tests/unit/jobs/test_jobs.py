"""Numbers, stages and who sees which job."""

from datetime import UTC, date, datetime

import pytest

from fitout.jobs import guards
from fitout.jobs.models import Job, Stage
from fitout.jobs.models.jobs import MOVES, StageRefused
from fitout.kit.models import AuditEntry, User
from tests.factories.jobs import make_job

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 5, 4, 10, 30, tzinfo=UTC)


@pytest.fixture(autouse=True)
def no_guards(monkeypatch: pytest.MonkeyPatch) -> None:
    """Guards of the apps above are theirs to test."""
    monkeypatch.setattr(guards, "_GUARDS", [])


def test_numbers_follow_each_other_without_a_gap(estimator: User) -> None:
    first, second = make_job(estimator), make_job(estimator)
    assert second.number == first.number + 1
    assert second.code == f"J-{second.number:04d}"


def test_opening_a_job_is_in_the_trail(estimator: User) -> None:
    job = make_job(estimator)
    entry = AuditEntry.objects.in_scope(job.scope).get()
    assert (entry.label, entry.actor) == (f"{job.code} opened", estimator)
    assert not entry.can_be_undone  # the number stays given


def test_every_stage_has_a_row_of_moves() -> None:
    assert set(MOVES) == set(Stage)


def test_moving_notes_the_day_and_the_person(estimator: User) -> None:
    job = make_job(estimator)
    job.move_to(Stage.QUOTED, by=estimator, now=NOW)
    job.refresh_from_db()
    assert (job.stage, job.stage_since, job.changed_by) == ("quoted", date(2026, 5, 4), estimator)
    assert AuditEntry.objects.in_scope(job.scope)[0].label == f"{job.code} moved to Quoted"


@pytest.mark.parametrize(
    ("stage", "wanted"),
    [(stage, wanted) for stage in Stage for wanted in Stage if wanted not in MOVES[stage]],
)
def test_moves_outside_the_table_are_refused(estimator: User, stage: str, wanted: str) -> None:
    job = make_job(estimator, stage=stage)
    with pytest.raises(StageRefused, match=r"^Stage: from "):
        job.move_to(wanted, by=estimator, now=NOW)
    assert Job.objects.get(pk=job.pk).stage == stage


def test_refusal_names_the_ways_that_are_open(estimator: User) -> None:
    job = make_job(estimator, stage="trials")
    with pytest.raises(StageRefused) as refused:
        job.move_to(Stage.CLOSED, by=estimator, now=NOW)
    assert str(refused.value) == (
        "Stage: from Trials a job moves to In build or Handed over, not to Closed."
    )


def test_guard_of_an_app_above_can_hold_a_job_back(estimator: User) -> None:
    guards.register(lambda job, stage: "Two claims are not paid." if stage == "closed" else "")
    job = make_job(estimator, stage="handed_over")
    with pytest.raises(StageRefused, match=r"Two claims are not paid\."):
        job.move_to(Stage.CLOSED, by=estimator, now=NOW)
    assert Job.objects.get(pk=job.pk).stage == "handed_over"


def test_technician_sees_jobs_from_accepted_to_handed_over(
    estimator: User, technician: User
) -> None:
    for stage in Stage:
        make_job(estimator, stage=stage)
    seen = set(Job.objects.visible_to(technician).values_list("stage", flat=True))
    assert seen == {"accepted", "in_build", "trials", "handed_over"}
    assert Job.objects.visible_to(estimator).count() == len(Stage)
