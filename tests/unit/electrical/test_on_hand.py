"""Wire up takes protective devices that stand on the build sheet before it takes others."""

from decimal import Decimal

import pytest

from catalogue.models import Part, SupplierPart
from electrical.facts import load_facts
from electrical.models import Circuit
from electrical.wiring.on_hand import on_hand
from electrical.wiring.wire_up import wire_up
from fitout.jobs import sheet
from fitout.jobs.models import Job
from fitout.kit.models import Role, User
from tests.factories.electrical import make_load, make_protection, make_small_vessel, put
from tests.factories.jobs import make_kit, zone_of
from tests.factories.people import make_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def by() -> User:
    return make_user(role=Role.ESTIMATOR)


@pytest.fixture
def job(by: User) -> Job:
    job = make_small_vessel(by)
    large = SupplierPart.objects.filter(part__protectivedevicedata__device="class_t")
    large.update(cost=Decimal("400.00"))
    return job


def winch(name: str) -> Part:
    return make_load(name, function="winch", nature="motor", current_a="60")


def breaker(cost: str = "500.00", breaks_a: int = 20_000) -> Part:
    """A surface breaker, far dearer than a fuse: never bought for a circuit."""
    part = make_protection("breaker_thermal", "80", breaks_a=breaks_a)
    part.offers.update(cost=Decimal(cost))
    return part


def protection_of(job: Job, name: str) -> Part | None:
    return Circuit.objects.get(job=job, members__device__name=name).protection


def test_a_breaker_is_taken_only_where_it_stands_on_the_sheet(job: Job, by: User) -> None:
    put(job, winch("Winch"), "FD", by=by)
    part = breaker()
    wire_up(job, by)
    assert not Circuit.objects.filter(protection=part).exists()

    put(job, part, "FD", by=by)
    wire_up(job, by)
    assert Circuit.objects.filter(protection=part).count() == 1


def test_the_last_one_goes_to_one_circuit(job: Job, by: User) -> None:
    part = breaker()
    put(job, part, "FD", by=by)
    put(job, winch("Anchor winch"), "FD", by=by)
    put(job, winch("Net winch"), "FD", by=by)
    wire_up(job, by)
    taken = [protection_of(job, name) == part for name in ("Anchor winch", "Net winch")]
    assert sorted(taken) == [False, True]
    before = list(Circuit.objects.values_list("pk", "protection"))
    wire_up(job, by)
    assert list(Circuit.objects.values_list("pk", "protection")) == before


def test_what_a_person_chose_counts_as_taken(job: Job, by: User) -> None:
    part = breaker()
    put(job, part, "FD", by=by)
    put(job, winch("Anchor winch"), "FD", by=by)
    put(job, winch("Net winch"), "FD", by=by)
    wire_up(job, by)
    given = Circuit.objects.get(protection=part)
    other = Circuit.objects.filter(members__device__name__contains="winch").exclude(pk=given.pk)
    other.update(protection=part, protection_set_by_hand=True)
    wire_up(job, by)
    assert list(Circuit.objects.filter(protection=part)) == list(other)


def test_what_a_kit_brings_is_for_what_the_kit_feeds(job: Job, by: User) -> None:
    part = breaker()
    put(job, winch("Anchor winch"), "FD", by=by)
    kit = make_kit((winch("Net winch"), "1"), (part, "1"))
    sheet.add_kit(job, zone_of(job, "FD"), kit, by=by)
    wire_up(job, by)
    assert protection_of(job, "Net winch") == part
    assert protection_of(job, "Anchor winch") != part


def test_what_a_kit_without_devices_brings_is_for_any_circuit(job: Job, by: User) -> None:
    part = breaker()
    put(job, winch("Winch"), "FD", by=by)
    sheet.add_kit(job, zone_of(job, "FD"), make_kit((part, "1")), by=by)
    wire_up(job, by)
    assert Circuit.objects.filter(protection=part).count() == 1


def test_what_breaks_too_little_is_left_standing(job: Job, by: User) -> None:
    part = breaker(breaks_a=50)
    put(job, part, "FD", by=by)
    put(job, winch("Winch"), "FD", by=by)
    wire_up(job, by)
    assert protection_of(job, "Winch") not in (None, part)


def test_an_option_not_taken_brings_nothing(job: Job, by: User) -> None:
    part = breaker()
    put(job, winch("Winch"), "FD", by=by)
    line = put(job, part, "FD", by=by)
    sheet.edit(line, by=by, version=line.version, choice="option", taken=False)
    wire_up(job, by)
    facts = load_facts(job)
    assert not on_hand(facts).left_for(facts.circuits[0].pk, ())
    assert protection_of(job, "Winch") != part


def test_a_piece_alone_goes_to_a_circuit_of_its_zone(job: Job, by: User) -> None:
    part = breaker()
    put(job, winch("Anchor winch"), "FD", by=by)
    put(job, winch("Net winch"), "HM", by=by)
    put(job, part, "HM", by=by)
    wire_up(job, by)
    assert protection_of(job, "Net winch") == part
    assert protection_of(job, "Anchor winch") != part


def test_what_nobody_in_its_zone_can_use_goes_elsewhere(job: Job, by: User) -> None:
    part = breaker()
    put(job, winch("Anchor winch"), "FD", by=by)
    put(job, make_load("Cabin light"), "HM", by=by)
    put(job, part, "HM", by=by)
    wire_up(job, by)
    assert Circuit.objects.filter(protection=part).count() == 1


def test_a_zone_without_circuits_keeps_nothing_to_itself(job: Job, by: User) -> None:
    part = breaker()
    put(job, winch("Anchor winch"), "FD", by=by)
    put(job, part, "HM", by=by)
    wire_up(job, by)
    assert Circuit.objects.filter(protection=part).count() == 1
