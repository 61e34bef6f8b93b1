"""Devices follow the build sheet, piece by piece."""

from decimal import Decimal

import pytest

from electrical.devices import circuits_of_lines, is_up_to_date, refresh_devices, wanted_devices
from electrical.models import Circuit, CircuitDevice, Device
from fitout.jobs import sheet
from fitout.jobs.models import Job
from fitout.kit.models import AuditEntry, Role, User
from fitout.kit.undo import undo
from tests.factories.electrical import (
    make_battery,
    make_board,
    make_busbar,
    make_load,
    make_outlet,
    put,
)
from tests.factories.jobs import make_job, make_kit, make_part, zone_of
from tests.factories.people import make_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def by() -> User:
    return make_user(role=Role.ESTIMATOR)


@pytest.fixture
def job(by: User) -> Job:
    return make_job(by)


def labels(job: Job) -> list[str]:
    return sorted(Device.objects.filter(job=job).values_list("label", flat=True))


def test_one_device_for_each_piece_and_none_for_other_parts(job: Job, by: User) -> None:
    put(job, make_load(), "HM", by=by, quantity=3)
    put(job, make_part(), "HM", by=by)
    assert labels(job) == ["E1", "E2", "E3"]
    assert Device.objects.first().name == "Cabin light, 1 of 3"  # type: ignore[union-attr]


def test_a_second_refresh_changes_nothing(job: Job, by: User) -> None:
    put(job, make_load(), "HM", by=by)
    refresh_devices(job, by)
    before = list(Device.objects.values())
    assert not refresh_devices(job, by)
    assert list(Device.objects.values()) == before


@pytest.mark.parametrize(
    ("make", "letter"),
    [
        (lambda: make_load(function="light"), "E"),
        (lambda: make_load(function="pump", nature="motor"), "M"),
        (lambda: make_load(function="navigation"), "A"),
        (lambda: make_load(function="heating", nature="resistive"), "R"),
        (make_outlet, "X"),
        (make_battery, "G"),
        (make_board, "B"),
    ],
)
def test_the_letter_tells_the_kind(job: Job, by: User, make: object, letter: str) -> None:
    put(job, make(), "HM", by=by)  # type: ignore[operator]
    refresh_devices(job, by)
    assert labels(job) == [f"{letter}1"]


def test_a_label_once_given_is_not_given_again(job: Job, by: User) -> None:
    first = put(job, make_load("One"), "HM", by=by)
    put(job, make_load("Two"), "HM", by=by)
    refresh_devices(job, by)
    sheet.remove(first, by=by)
    put(job, make_load("Three"), "HM", by=by)
    refresh_devices(job, by)
    assert labels(job) == ["E2", "E3"]


def test_a_device_stands_in_the_middle_of_its_zone_until_it_is_placed(job: Job, by: User) -> None:
    line = put(job, make_load(), "HM", by=by)
    refresh_devices(job, by)
    zone = zone_of(job, "HM")
    middle = (zone.x_min_m + zone.x_max_m) / 2
    assert Device.objects.get().x_m == middle.quantize(Decimal("0.001"))
    x_m, y_m, z_m = Decimal("3.500"), Decimal("0.100"), Decimal("1.200")
    sheet.edit(line, by=by, version=line.version, x_m=x_m, y_m=y_m, z_m=z_m)
    refresh_devices(job, by)
    assert Device.objects.get().x_m == Decimal("3.500")


def test_an_option_counts_only_when_taken(job: Job, by: User) -> None:
    line = put(job, make_load(), "HM", by=by)
    sheet.edit(line, by=by, version=line.version, choice="option")
    assert wanted_devices(job) == []
    line.refresh_from_db()
    sheet.edit(line, by=by, version=line.version, taken=True)
    assert len(wanted_devices(job)) == 1


def test_parts_inside_a_kit_count_as_often_as_the_kit(job: Job, by: User) -> None:
    kit = make_kit((make_load(), "2"))
    line = sheet.add_kit(job, zone_of(job, "HM"), kit, by=by)
    sheet.edit(line, by=by, version=line.version, quantity=Decimal(2))
    refresh_devices(job, by)
    assert len(labels(job)) == 4


def test_the_second_busbar_of_a_zone_is_the_negative(job: Job, by: User) -> None:
    put(job, make_busbar(), "BL", by=by, quantity=2)
    refresh_devices(job, by)
    assert [d.is_negative for d in Device.objects.order_by("label")] == [False, True]


def test_taking_back_a_new_line_takes_its_device_along(job: Job, by: User) -> None:
    put(job, make_load(), "HM", by=by)
    refresh_devices(job, by)
    undo(AuditEntry.objects.in_scope(job.scope).order_by("-pk")[0], by=by)
    assert labels(job) == []


def test_putting_back_a_removed_line_puts_back_device_and_circuit(job: Job, by: User) -> None:
    line = put(job, make_load(), "HM", by=by)
    put(job, make_board(), "HM", by=by)
    refresh_devices(job, by)
    light, board = Device.objects.get(label="E1"), Device.objects.get(label="B1")
    circuit = Circuit.objects.create(
        job=job, number=1, name="Light", origin=board, nominal_v=Decimal("12")
    )
    CircuitDevice.objects.create(circuit=circuit, device=light)
    sheet.remove(line, by=by)
    assert not CircuitDevice.objects.exists()
    undo(AuditEntry.objects.in_scope(job.scope).order_by("-pk")[0], by=by)
    assert CircuitDevice.objects.get().device == light
    assert is_up_to_date(wanted_devices(job), list(Device.objects.filter(job=job)))


def test_the_build_sheet_is_told_the_circuits_of_a_line(job: Job, by: User) -> None:
    line = put(job, make_load(), "HM", by=by, quantity=2)
    put(job, make_board(), "HM", by=by)
    refresh_devices(job, by)
    board = Device.objects.get(label="B1")
    for number, light in enumerate(Device.objects.filter(kind="load"), start=7):
        circuit = Circuit.objects.create(
            job=job, number=number, name="Light", origin=board, nominal_v=Decimal("12")
        )
        CircuitDevice.objects.create(circuit=circuit, device=light)
    assert circuits_of_lines(job, []) == {line.pk: "C07, C08"}
