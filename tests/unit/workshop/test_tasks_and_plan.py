"""Tasks from labour in working order, kept when made again; a plan that respects people."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from catalogue.models import LabourOperation, Trade
from catalogue.models.labour import Phase
from fitout.jobs import sheet
from fitout.jobs.models import Job
from fitout.kit.models import Role, User, Workshop
from fitout.workshop.calendar import is_working_day, working_days_between
from fitout.workshop.clock import (
    CannotBook,
    booked_h,
    finish,
    hold,
    open_run,
    put_right,
    start,
    stop,
)
from fitout.workshop.generating import generate
from fitout.workshop.models import BookedTime, Skill, Task, TaskStatus
from fitout.workshop.planning import plan
from fitout.workshop.task_facts import circuit_rows
from tests.factories.building import make_building
from tests.factories.jobs import make_condition, make_job, make_operation, make_trade, zone_of
from tests.factories.orders import NOW
from tests.factories.people import make_user

MONDAY = date(2026, 4, 13)


def operation(trade: Trade, phase: str, hours: str) -> LabourOperation:
    work = make_operation(standard_h=hours, trade=trade)
    work.phase = phase
    work.save()
    return work


@pytest.fixture
def job(owner: User) -> Job:
    """Electrical first fix 4 h and second fix 2 h at the helm, a test of 1 h, covering 3 h aft."""
    job = make_job(owner)
    electrical = make_trade(code="electrical")
    covering = make_trade(code="covering")
    helm, deck = zone_of(job, "HM"), zone_of(job, "AD")
    for zone, trade, phase, hours in (
        (helm, electrical, Phase.SECOND_FIX, "2"),
        (helm, electrical, Phase.FIRST_FIX, "4"),
        (helm, electrical, Phase.TEST, "1"),
        (deck, covering, Phase.FINISH, "3"),
    ):
        sheet.add_labour(job, zone, operation(trade, phase, hours), by=owner)
    Job.objects.filter(pk=job.pk).update(stage="in_build")
    job.refresh_from_db()
    return job


def phases(job: Job) -> list[str]:
    return list(job.tasks.order_by("position").values_list("phase", flat=True))


class TestGenerate:
    def test_tasks_come_in_working_order(self, job: Job, owner: User) -> None:
        generate(job, by=owner)
        assert phases(job) == [Phase.FIRST_FIX, Phase.SECOND_FIX, Phase.FINISH, Phase.TEST]

    def test_second_fix_waits_for_first_fix_and_test_for_both(self, job: Job, owner: User) -> None:
        generate(job, by=owner)
        waits = {task.phase: {t.phase for t in task.after.all()} for task in job.tasks.all()}
        assert waits[Phase.SECOND_FIX] == {Phase.FIRST_FIX}
        assert waits[Phase.TEST] == {Phase.FIRST_FIX, Phase.SECOND_FIX}
        assert waits[Phase.FINISH] == set()

    def test_hours_follow_standard_time_and_conditions(self, job: Job, owner: User) -> None:
        line = job.lines.get(standard_h=4)
        sheet.edit(
            line, by=owner, version=line.version, conditions=[make_condition(multiplier="1.25")]
        )
        generate(job, by=owner)
        assert job.tasks.get(phase=Phase.FIRST_FIX).planned_h == Decimal("5.00")

    def test_made_again_without_change_adds_and_removes_nothing(
        self, job: Job, owner: User
    ) -> None:
        generate(job, by=owner)
        again = generate(job, by=owner)
        assert (again.added, again.changed, again.removed) == (0, 0, 0)

    def test_task_that_was_begun_outlives_its_line(
        self, job: Job, owner: User, technician: User
    ) -> None:
        generate(job, by=owner)
        begun = job.tasks.get(phase=Phase.FIRST_FIX)
        start(begun, by=technician, at=NOW)
        job.lines.all().delete()
        result = generate(job, by=owner)
        assert (result.removed, result.kept) == (3, 1)
        assert list(job.tasks.all()) == [begun]

    def test_option_not_taken_makes_no_task(self, job: Job, owner: User) -> None:
        job.lines.update(choice="option", taken=False)
        assert generate(job, by=owner).added == 0


class TestPlan:
    def skilled(self, *codes: str, hours: str = "8") -> User:
        user = make_user(role=Role.TECHNICIAN)
        user.hours_per_day = Decimal(hours)
        user.save()
        for code in codes:
            Skill.objects.create(user=user, trade=Trade.objects.get(code=code))
        return user

    def test_each_task_goes_to_somebody_with_its_trade(self, job: Job, owner: User) -> None:
        generate(job, by=owner)
        wires, covers = self.skilled("electrical"), self.skilled("covering")
        plan(job, by=owner, today=MONDAY, parts_due={})
        doers = {task.phase: task.assigned_to for task in job.tasks.all()}
        assert doers[Phase.FIRST_FIX] == wires
        assert doers[Phase.FINISH] == covers

    def test_second_fix_starts_after_first_fix_ends(self, job: Job, owner: User) -> None:
        generate(job, by=owner)
        self.skilled("electrical", "covering", hours="3")
        plan(job, by=owner, today=MONDAY, parts_due={})
        first, second = job.tasks.get(phase=Phase.FIRST_FIX), job.tasks.get(phase=Phase.SECOND_FIX)
        assert first.due_on is not None and second.start_on is not None
        assert (first.start_on, first.due_on) == (MONDAY, MONDAY + timedelta(days=1))
        assert second.start_on > first.due_on

    def test_task_waits_for_its_parts(self, job: Job, owner: User) -> None:
        generate(job, by=owner)
        self.skilled("electrical", "covering")
        line = job.lines.get(standard_h=4)
        plan(job, by=owner, today=MONDAY, parts_due={line.pk: MONDAY + timedelta(days=9)})
        assert job.tasks.get(phase=Phase.FIRST_FIX).start_on == MONDAY + timedelta(days=9)

    def test_no_day_is_promised_twice(self, job: Job, owner: User) -> None:
        generate(job, by=owner)
        self.skilled("electrical", "covering", hours="4")
        plan(job, by=owner, today=MONDAY, parts_due={})
        days: dict[date, Decimal] = {}
        for task in job.tasks.all():
            assert task.start_on and task.due_on
            spans = working_days_between(task.start_on, task.due_on)
            for day in spans:
                days[day] = days.get(day, Decimal(0)) + task.planned_h / len(spans)
        assert max(days.values()) <= 4

    def test_trade_nobody_has_is_reported_not_hidden(self, job: Job, owner: User) -> None:
        generate(job, by=owner)
        self.skilled("electrical")
        result = plan(job, by=owner, today=MONDAY, parts_due={})
        assert [task.phase for task in result.without_hands] == [Phase.FINISH]

    def test_weekends_and_public_holidays_are_not_worked(self, owner: User) -> None:
        Workshop.objects.create(name="Lantern Bay Fit-outs", country="IE")
        assert not is_working_day(date(2026, 4, 11))
        assert is_working_day(date(2026, 4, 6))
        assert not is_working_day(date(2026, 4, 6), "IE")  # Easter Monday


class TestClock:
    @pytest.fixture
    def task(self, job: Job, owner: User) -> Task:
        generate(job, by=owner)
        return job.tasks.get(phase=Phase.FIRST_FIX)

    def test_hours_between_start_and_stop_are_booked(self, task: Task, technician: User) -> None:
        start(task, by=technician, at=NOW)
        stop(task, by=technician, at=NOW + timedelta(hours=1, minutes=30))
        assert booked_h(task.job) == {task.pk: Decimal("1.5")}

    def test_starting_another_task_stops_the_first_clock(
        self, task: Task, technician: User
    ) -> None:
        other = task.job.tasks.get(phase=Phase.FINISH)
        start(task, by=technician, at=NOW)
        start(other, by=technician, at=NOW + timedelta(hours=2))
        running = open_run(technician)
        assert running is not None and running.task == other
        assert BookedTime.objects.get(task=task).hours == Decimal("2.00")

    def test_start_pressed_twice_runs_one_clock(self, task: Task, technician: User) -> None:
        first = start(task, by=technician, at=NOW)
        assert start(task, by=technician, at=NOW + timedelta(minutes=1)) == first

    def test_done_stops_every_clock_on_the_task(self, task: Task, technician: User) -> None:
        start(task, by=technician, at=NOW)
        done = finish(task, by=technician, at=NOW + timedelta(hours=1))
        assert (done.status, open_run(technician)) == (TaskStatus.DONE, None)

    def test_held_task_is_not_done_before_it_goes_on(self, task: Task, technician: User) -> None:
        hold(task, reason="Cable not here", by=technician, at=NOW)
        with pytest.raises(CannotBook, match="start it before it can be done"):
            finish(task, by=technician, at=NOW)

    def test_run_over_16_hours_is_refused_when_put_right(
        self, task: Task, technician: User, owner: User
    ) -> None:
        run = start(task, by=technician, at=NOW)
        with pytest.raises(CannotBook, match="at most 16 hours"):
            put_right(
                run, started_at=NOW, stopped_at=NOW + timedelta(hours=17), reason="Forgot", by=owner
            )


class TestCircuitTimes:
    """Circuits that no labour on the sheet covers; `make_building` holds 3 h at the helm."""

    def generated(self, by: User, **circuit_work: tuple[str, str]) -> Job:
        """`circuit_work`: its name to the phase and standard time of the operation for it."""
        electrical = make_trade(code="electrical")
        for name, (phase, hours) in circuit_work.items():
            named = LabourOperation.objects.filter(pk=operation(electrical, phase, hours).pk)
            named.update(circuit_work=name)
        job = make_building(by)
        generate(job, by=by)
        return job

    def test_without_an_operation_for_it_no_time_is_planned(self, owner: User) -> None:
        tasks = self.generated(owner).tasks.all()
        assert {task.planned_h for task in tasks} == {Decimal(0), Decimal(3)}

    def test_a_cable_takes_the_standard_time_of_its_length(self, owner: User) -> None:
        job = self.generated(owner, run=(Phase.FIRST_FIX, "0.50"))
        tasks = job.tasks.filter(phase=Phase.FIRST_FIX)
        lengths = [row.length_m for row in circuit_rows(job).values()]
        wanted = sum((Decimal(str(length_m)) / 2 for length_m in lengths if length_m), Decimal(0))
        assert wanted > 1
        planned = sum((task.planned_h for task in tasks), Decimal(0))
        assert abs(planned - wanted) <= Decimal("0.005") * len(tasks)  # each rounded to 0.01 h

    def test_four_ends_of_each_circuit_are_connected_unless_labour_covers_them(
        self, owner: User
    ) -> None:
        job = self.generated(owner, terminate=(Phase.SECOND_FIX, "0.25"))
        helm = job.tasks.get(phase=Phase.SECOND_FIX, zone__code="HM")
        others = job.tasks.filter(phase=Phase.SECOND_FIX).exclude(pk=helm.pk)
        assert helm.planned_h == 3
        assert others
        for task in others:
            assert task.planned_h == task.circuits.count()  # 4 ends of 0.25 h each
