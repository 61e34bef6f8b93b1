"""What a task takes to the vessel: parts of its lines and of the circuits it makes."""

from decimal import Decimal

import pytest

from catalogue.models import PartKind
from catalogue.models.labour import Phase
from electrical.needs import needs
from fitout.jobs.models import Job
from fitout.jobs.sheet import Details, add_part
from fitout.kit.models import User
from fitout.purchasing.models import Movement, MovementKind
from fitout.purchasing.moving import move, put_right
from fitout.purchasing.needs import needs_of
from fitout.workshop.generating import generate
from fitout.workshop.models import Task
from fitout.workshop.task_facts import Pick, facts_of_tasks, pick_for
from tests.factories.building import make_building
from tests.factories.jobs import zone_of
from tests.factories.orders import NOW


@pytest.fixture
def job(owner: User) -> Job:
    job = make_building(owner)
    generate(job, by=owner)
    return job


def wiring_tasks(job: Job, phase: str) -> list[Task]:
    tasks = job.tasks.filter(phase=phase, circuits__isnull=False).distinct()
    return list(tasks.prefetch_related("lines", "circuits"))


def picks_of(task: Task) -> dict[str, Pick]:
    return {pick.part.code: pick for pick in facts_of_tasks(task.job, [task])[0].picks}


def shared_cable(job: Job) -> tuple[Task, Task, str]:
    """Two first-fix tasks that take the same cable."""
    one, other, *_ = wiring_tasks(job, Phase.FIRST_FIX)
    same = {
        code
        for code, pick in picks_of(one).items()
        if pick.part.kind == PartKind.CABLE and code in picks_of(other)
    }
    return one, other, min(same)


class TestPartsOfCircuits:
    def test_everything_the_circuits_take_is_picked_once(self, job: Job) -> None:
        wanted: dict[str, Decimal] = {}
        for need in needs(job):
            wanted[need.part.code] = wanted.get(need.part.code, Decimal(0)) + need.quantity
        tasks = [task for phase in Phase.values for task in wiring_tasks(job, phase)]
        picked: dict[str, Decimal] = {}
        for facts in facts_of_tasks(job, tasks):
            for pick in facts.picks:
                picked[pick.part.code] = picked.get(pick.part.code, Decimal(0)) + pick.quantity
        assert wanted
        assert {code: picked.get(code) for code in wanted} == wanted

    def test_cable_goes_in_first_and_fuses_when_it_is_connected(self, job: Job) -> None:
        first = {
            pick.part.kind
            for facts in facts_of_tasks(job, wiring_tasks(job, Phase.FIRST_FIX))
            for pick in facts.picks
        }
        second = {
            pick.part.kind
            for facts in facts_of_tasks(job, wiring_tasks(job, Phase.SECOND_FIX))
            for pick in facts.picks
        }
        assert PartKind.CABLE in first
        assert PartKind.PROTECTIVE_DEVICE not in first
        assert PartKind.PROTECTIVE_DEVICE in second
        assert PartKind.CABLE not in second


class TestSheetAndCircuits:
    def test_a_fuse_of_the_sheet_that_a_circuit_takes_is_picked_for_the_circuit_alone(
        self, job: Job, owner: User
    ) -> None:
        fuse = next(n for n in needs(job) if n.part.kind == PartKind.PROTECTIVE_DEVICE)
        used = sum((n.quantity for n in needs(job) if n.part == fuse.part), Decimal(0))
        details = Details(quantity=used + 2)
        Job.objects.filter(pk=job.pk).update(stage="accepted")
        add_part(job, zone_of(job, "HM"), fuse.part, by=owner, details=details)
        generate(job, by=owner)
        tasks = list(job.tasks.prefetch_related("lines", "circuits"))
        quantities = [
            pick.quantity
            for facts in facts_of_tasks(job, tasks)
            for pick in facts.picks
            if pick.part == fuse.part
        ]
        assert sum(quantities) == used + 2
        bought = next(n for n in needs_of(job) if n.part == fuse.part)
        assert bought.quantity == used + 2


class TestPickedForWhich:
    def test_cable_picked_for_one_task_is_still_to_pick_for_another(
        self, job: Job, technician: User
    ) -> None:
        one, other, code = shared_cable(job)
        pick = picks_of(one)[code]
        pick_for(one, pick.part, pick.can_pick, by=technician, at=NOW)
        assert picks_of(one)[code].is_picked
        assert not picks_of(other)[code].is_picked

    def test_a_pick_put_right_is_to_pick_again(self, job: Job, technician: User) -> None:
        one, _, code = shared_cable(job)
        pick = picks_of(one)[code]
        pick_for(one, pick.part, pick.can_pick, by=technician, at=NOW)
        put_right(Movement.objects.get(picked_for_task__task=one), by=technician, at=NOW)
        assert not picks_of(one)[code].is_picked

    def test_what_the_office_picked_for_no_task_counts_for_those_that_want_it(
        self, job: Job, owner: User
    ) -> None:
        one, other, code = shared_cable(job)
        pick = picks_of(one)[code]
        move(job, pick.part, MovementKind.PICKED, pick.here, by=owner, at=NOW)
        assert picks_of(one)[code].is_picked
        assert picks_of(other)[code].is_picked

    def test_a_task_something_was_picked_for_stays(self, job: Job, technician: User) -> None:
        one, _, code = shared_cable(job)
        pick = picks_of(one)[code]
        pick_for(one, pick.part, pick.can_pick, by=technician, at=NOW)
        one.circuits.all().delete()
        assert generate(job, by=technician).kept == 1
        assert Task.objects.filter(pk=one.pk).exists()
