"""The demo jobs: made through the domain functions, complete enough to be wired and weighed."""

from collections import Counter
from datetime import date

import pytest

import catalogue.demo
from catalogue.models import PartKind
from fitout.jobs import demo, sheet
from fitout.jobs.hullplan.cableways import gaps
from fitout.jobs.hullplan.markers import markers_of
from fitout.jobs.hullplan.plan import read_plan
from fitout.jobs.models import Customer, Job, Line
from fitout.kit.models import AuditEntry, Role, User
from tests.factories import sums
from tests.factories.people import make_user

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 25)
WIRED = {
    PartKind.LOAD,
    PartKind.BATTERY,
    PartKind.CHARGING_SOURCE,
    PartKind.SOLAR_PANEL,
    PartKind.REGULATOR,
    PartKind.CONVERTER,
    PartKind.INVERTER,
    PartKind.SWITCH,
    PartKind.BUSBAR,
    PartKind.BOARD,
    PartKind.OUTLET,
    PartKind.DATA_DEVICE,
}


@pytest.fixture
def owner_of_demo() -> User:
    return make_user(role=Role.OWNER)


@pytest.fixture(autouse=True)
def loaded(owner_of_demo: User) -> None:
    catalogue.demo.load(owner_of_demo, TODAY)
    technicians = [make_user() for _ in range(3)]
    demo.load(owner_of_demo, TODAY, technicians)


def test_demo_jobs_are_sound(owner_of_demo: User) -> None:
    jobs = {job.vessel.name: job for job in Job.objects.for_title()}
    assert {name: job.number for name, job in jobs.items()} == {
        "Saffron": 139,
        "Terrapin": 140,
        "Hedgerow": 141,
        "Dulse": 142,
        "Carrageen": 143,
    }
    sheets = {name: sheet.sheet_lines(job) for name, job in jobs.items()}
    for name, job in jobs.items():
        unplaced = [
            f"{name} {line.code} {line.part_code}"
            for line in sheets[name]
            if line.part_kind in WIRED and not line.is_placed
        ]
        assert unplaced == []
        assert gaps(read_plan(job.vessel)) == []
        assert len(markers_of(sheets[name])) > 15
    check_dulse(sheets["Dulse"])
    check_sister(sheets["Dulse"], sheets["Carrageen"])


def check_dulse(lines: list[sheet.SheetLine]) -> None:
    top = [line for line in lines if line.parent_id is None]
    kinds = Counter(line.kind for line in top)
    assert len(top) >= 60
    assert set(kinds) == {"part", "kit", "labour", "subcontract", "provisional", "customer"}
    assert sum(line.is_option for line in top) >= 4
    counted = sums.counted(lines)
    # two engines of 182 kg, and all that a fit-out adds, on a hull of 1,480 kg
    assert 700 < counted.mass_kg < 1300
    assert 250 < counted.labour_h < 500
    assert not [line.code for line in lines if line.counts and line.mass_is_unknown]
    trades = {line.trade_code for line in lines if line.standard_h}
    assert trades >= {"electrical", "electronics", "mechanical", "plumbing", "covering", "test"}


def check_sister(lines: list[sheet.SheetLine], copies: list[sheet.SheetLine]) -> None:
    assert [line.code for line in copies] == [line.code for line in lines]
    assert [line.cost_total for line in copies] == [line.cost_total for line in lines]


def test_loading_again_changes_nothing(owner_of_demo: User) -> None:
    before = (Job.objects.count(), Line.objects.count(), AuditEntry.objects.count())
    demo.load(owner_of_demo, TODAY, [])
    assert (Job.objects.count(), Line.objects.count(), AuditEntry.objects.count()) == before
    assert Customer.objects.count() == 4
