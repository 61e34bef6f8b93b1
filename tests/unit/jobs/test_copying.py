"""A build sheet copied to a sister vessel or to another kind of vessel."""

from decimal import Decimal

import pytest

from catalogue.models import SupplierPart
from fitout.jobs import sheet
from fitout.jobs.models import Job, Line
from fitout.kit.models import AuditEntry, User
from fitout.kit.undo import undo
from tests.factories.jobs import (
    make_condition,
    make_job,
    make_kit,
    make_operation,
    make_part,
    make_vessel,
    zone_of,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def source(estimator: User) -> Job:
    job = make_job(estimator)
    kit = make_kit((make_kit((make_part(cost="5.00"), "3")), "2"), (make_operation(), "1"))
    details = sheet.Details(conditions=(make_condition(multiplier="1.50"),))
    sheet.add_kit(job, zone_of(job, "HM"), kit, by=estimator, details=details)
    place = (Decimal("2.2"), Decimal("0.5"), Decimal("1.2"))
    sheet.add_part(
        job,
        zone_of(job, "BL"),
        make_part(code="BATT", cost="400.00"),
        by=estimator,
        details=sheet.Details(at=place, choice="option"),
    )
    return job


def test_sister_vessel_gets_every_line_with_its_nesting(source: Job, estimator: User) -> None:
    target = make_job(estimator)
    copied = sheet.copy_from(target, source, zones=sheet.zones_alike(source, target), by=estimator)
    assert (copied.lines, copied.without_zone) == (5, 0)
    before, after = sheet.sheet_lines(source), sheet.sheet_lines(target)
    assert [line.code for line in after] == [line.code for line in before]
    assert [line.cost_total for line in after] == [line.cost_total for line in before]
    assert [line.multiplier for line in after] == [line.multiplier for line in before]


def test_lines_without_a_zone_in_the_other_vessel_are_left_and_counted(
    source: Job, estimator: User
) -> None:
    target = make_job(estimator, vessel=make_vessel(template="van"))
    zones = sheet.zones_alike(source, target)
    with pytest.raises(sheet.CannotCopy, match="no line in the zones chosen"):
        sheet.copy_from(target, source, zones=zones, by=estimator)
    helm, cab = zone_of(source, "HM"), zone_of(target, "CB")
    copied = sheet.copy_from(target, source, zones={helm.pk: cab}, by=estimator)
    assert (copied.lines, copied.without_zone) == (4, 1)
    assert {line.zone_code for line in sheet.sheet_lines(target)} == {"CB"}


def test_what_belongs_to_the_other_customer_stays_behind(source: Job, estimator: User) -> None:
    option = Line.objects.get(job=source, part__code="BATT")
    sheet.edit(
        option,
        by=estimator,
        version=1,
        taken=True,
        sell_override=Decimal("499"),
        override_reason="Fair price",
    )
    target = make_job(estimator)
    sheet.copy_from(target, source, zones=sheet.zones_alike(source, target), by=estimator)
    copy = Line.objects.get(job=target, part__code="BATT")
    assert (copy.taken, copy.sell_override, copy.override_reason) == (False, None, "")


def test_copied_lines_cost_what_their_offers_ask_today(source: Job, estimator: User) -> None:
    offer = SupplierPart.objects.get(part__code="BATT")
    offer.cost = Decimal("450.00")
    offer.save()
    target = make_job(estimator)
    sheet.copy_from(target, source, zones=sheet.zones_alike(source, target), by=estimator)
    assert Line.objects.get(job=target, part__code="BATT").unit_cost == Decimal("450.00")
    assert Line.objects.get(job=source, part__code="BATT").unit_cost == Decimal("400.00")


def test_place_keeps_its_share_of_a_larger_zone(source: Job, estimator: User) -> None:
    target = make_job(estimator)
    zone = zone_of(target, "BL")
    old = zone_of(source, "BL")
    zone.x_min_m, zone.x_max_m = Decimal("4.000"), Decimal("6.000")
    zone.save()
    sheet.copy_from(target, source, zones=sheet.zones_alike(source, target), by=estimator)
    share = (Decimal("2.2") - old.x_min_m) / (old.x_max_m - old.x_min_m)
    copy = Line.objects.get(job=target, part__code="BATT")
    assert float(copy.x_m or 0) == pytest.approx(4 + 2 * float(share), abs=0.0005)


def test_copy_is_one_change_and_one_undo(source: Job, estimator: User) -> None:
    target = make_job(estimator)
    sheet.copy_from(target, source, zones=sheet.zones_alike(source, target), by=estimator)
    entry = AuditEntry.objects.in_scope(target.scope).order_by("-pk")[0]
    assert entry.label == f"5 lines copied from {source.code}"
    undo(entry, by=estimator)
    assert not target.lines.exists()


def test_a_job_is_not_copied_into_itself(source: Job, estimator: User) -> None:
    with pytest.raises(sheet.CannotCopy, match="another job than this one"):
        sheet.copy_from(source, source, zones=sheet.zones_alike(source, source), by=estimator)
