"""A part brings its usual labour to the build sheet, so that nobody types it again."""

from decimal import Decimal

import pytest

from fitout.jobs.sheet.adding import Details, add_kit, add_part
from fitout.kit.models import User
from tests.factories.jobs import make_job, make_kit, make_operation, make_part, make_trade, zone_of

pytestmark = pytest.mark.django_db


def test_a_part_brings_the_time_and_trade_of_its_usual_operation(owner: User) -> None:
    job = make_job(owner)
    part = make_part()
    part.usual_operation = make_operation(standard_h="1.20", trade=make_trade(code="plumbing"))
    part.save()
    line = add_part(job, zone_of(job, "HM"), part, by=owner)
    assert line.standard_h == Decimal("1.20")
    assert line.trade is not None
    assert line.trade.code == "plumbing"


def test_a_time_given_by_hand_stands(owner: User) -> None:
    job = make_job(owner)
    part = make_part()
    part.usual_operation = make_operation(standard_h="1.20")
    part.save()
    zone = zone_of(job, "HM")
    line = add_part(job, zone, part, by=owner, details=Details(standard_h=Decimal(0)))
    assert line.standard_h == 0


def test_a_part_in_a_kit_brings_none_since_the_kit_holds_its_labour(owner: User) -> None:
    job = make_job(owner)
    part, work = make_part(), make_operation(standard_h="3.00")
    part.usual_operation = work
    part.save()
    kit = add_kit(job, zone_of(job, "HM"), make_kit((part, "1"), (work, "1")), by=owner)
    hours = {line.kind: line.standard_h for line in kit.children.all()}
    assert hours == {"part": Decimal(0), "labour": Decimal("3.00")}
