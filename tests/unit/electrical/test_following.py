"""Devices follow the build sheet and the hull plan in the change itself; no page has to."""

from decimal import Decimal

import pytest

from catalogue.models import SwitchData
from electrical.devices import behind, refresh_devices
from electrical.following import matters
from electrical.models import Device
from electrical.wiring.wire_up import wire_up
from fitout.jobs.hullplan import editing as hull
from fitout.jobs.models import Job, Line
from fitout.jobs.sheet import editing
from fitout.kit.audit import tracked
from fitout.kit.models import AuditEntry, User
from fitout.kit.undo import undo
from tests.factories.electrical import (
    make_isolator,
    make_load,
    make_small_vessel,
    put,
    usual_loads,
)
from tests.factories.jobs import make_job, make_part, zone_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def by(estimator: User) -> User:
    return estimator


@pytest.fixture
def job(by: User) -> Job:
    return make_job(by)


def names(job: Job) -> list[str]:
    return sorted(Device.objects.filter(job=job).values_list("name", flat=True))


def line_of(job: Job, name: str) -> Line:
    return Line.objects.get(job=job, description=name)


def test_a_line_brings_its_devices_and_takes_them_along(job: Job, by: User) -> None:
    line = put(job, make_load("Deck light"), "HM", by=by, quantity=2)
    assert names(job) == ["Deck light, 1 of 2", "Deck light, 2 of 2"]
    editing.edit(line, by=by, version=line.version, quantity=Decimal(1))
    assert names(job) == ["Deck light"]
    editing.remove(line_of(job, "Deck light"), by=by)
    assert names(job) == []


def test_undo_and_redo_are_followed_too(job: Job, by: User) -> None:
    put(job, make_load("Deck light"), "HM", by=by)
    taken_back = undo(AuditEntry.objects.latest("pk"), by=by)
    assert names(job) == []
    undo(taken_back, by=by)
    assert names(job) == ["Deck light"]


def test_an_option_counts_from_the_moment_it_is_taken(job: Job, by: User) -> None:
    line = put(job, make_load("Deck light"), "HM", by=by)
    editing.edit(line, by=by, version=line.version, choice="option", taken=False)
    assert names(job) == []
    line.refresh_from_db()
    editing.edit(line, by=by, version=line.version, taken=True)
    assert names(job) == ["Deck light"]


def test_a_zone_that_moves_takes_its_devices_along(job: Job, by: User) -> None:
    put(job, make_load("Deck light"), "HM", by=by)
    zone = zone_of(job, "HM")
    before = Device.objects.get(job=job).x_m
    zone.x_max_m += Decimal("0.4")
    hull.save(job, zone, version=zone.version, by=by)
    assert before is not None
    assert Device.objects.get(job=job).x_m == before + Decimal("0.2")


def test_a_wired_circuit_comes_back_with_the_line(by: User) -> None:
    job = make_small_vessel(by, loads=usual_loads())
    wire_up(job, by)
    pump = Device.objects.get(job=job, name="Wash pump")
    circuit = pump.circuits.get()
    editing.remove(pump.line, by=by)
    assert not circuit.devices.exists()
    undo(AuditEntry.objects.latest("pk"), by=by)
    assert circuit.devices.get().pk == pump.pk


@pytest.mark.parametrize(
    ("changes", "is_followed"),
    [
        ({"note": "behind the panel"}, False),
        ({"unit_cost": "9.00"}, False),
        ({"quantity": "2.00"}, True),
        ({"zone_id": 7}, True),
        ({"x_m": "1.000"}, True),
        ({"taken": True}, True),
    ],
)
def test_only_what_a_device_is_made_from_is_followed(
    job: Job, by: User, changes: dict[str, object], is_followed: bool
) -> None:
    put(job, make_part(), "HM", by=by)
    stored = AuditEntry.objects.latest("pk").changes[0]["after"]
    change = {"before": stored, "after": {**stored, **changes}}
    assert matters(change) is is_followed
    assert not matters({"before": None, "after": {**stored, "kind": "labour"}})


def test_changes_of_other_scopes_are_not_followed(job: Job, by: User) -> None:
    line = put(job, make_load("Deck light"), "HM", by=by)
    Device.objects.filter(job=job).delete()
    with tracked(actor=by, scope="catalogue", label="Elsewhere") as change:
        change.watch(line)
        line.quantity = Decimal(3)
        line.save_if_version(line.version, by=by)
    assert names(job) == []


def test_what_a_part_says_of_itself_is_seen_as_behind_and_put_right_when_asked(
    job: Job, by: User
) -> None:
    isolator = make_isolator()
    put(job, isolator, "BL", by=by)
    SwitchData.objects.filter(part=isolator).update(is_isolator=False)
    assert behind(job, list(Device.objects.filter(job=job))) == 1
    refresh_devices(job, by)
    assert names(job) == []
    assert behind(job, []) == 0


def test_a_part_that_is_no_device_costs_no_look_at_the_sheet(
    job: Job, by: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    seat = put(job, make_part(description="Helm seat"), "HM", by=by)
    light = put(job, make_load("Deck light"), "HM", by=by)
    asked: list[Job] = []
    monkeypatch.setattr("electrical.following.refresh_devices", lambda job, by: asked.append(job))
    editing.edit(seat, by=by, version=seat.version, quantity=Decimal(3))
    assert asked == []
    editing.edit(light, by=by, version=light.version, quantity=Decimal(3))
    assert asked == [job]
