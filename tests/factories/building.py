"""A small vessel in build, wired and with its parts in the workshop, through the domain."""

from decimal import Decimal

from catalogue.models import LabourOperation, Part, Trade
from catalogue.models.labour import Phase
from electrical.wiring.wire_up import wire_up
from fitout.jobs.models import Job
from fitout.jobs.sheet import add_labour
from fitout.kit.models import User
from fitout.purchasing.ordering import propose, send
from fitout.purchasing.receiving import Arrival, receive
from fitout.workshop.models import Skill
from tests.factories.electrical import make_load, make_small_vessel
from tests.factories.jobs import make_operation, make_trade, zone_of
from tests.factories.orders import NOW, TODAY


def make_building(by: User) -> Job:
    """Two lights at the helm with 3 h of second fix there; every part has come."""
    job = make_small_vessel(
        by,
        loads=[
            (make_load("Cabin light"), "HM"),
            (make_load("Chart light", current_a="0.3"), "HM"),
        ],
    )
    Part.objects.filter(kind="battery").update(serial_tracked=True, warranty_months=24)
    work = second_fix(make_trade(code="electrical"), "3")
    add_labour(job, zone_of(job, "HM"), work, by=by)
    wire_up(job, by)
    Job.objects.filter(pk=job.pk).update(stage="in_build")
    job.refresh_from_db()
    receive_everything(job, by)
    return job


def second_fix(trade: Trade, hours: str) -> LabourOperation:
    work = make_operation(code="FIT-LIGHTS", standard_h=hours, trade=trade)
    work.phase = Phase.SECOND_FIX
    work.save()
    return work


def receive_everything(job: Job, by: User) -> None:
    for draft in propose(job, by=by, today=TODAY):
        order = send(draft, by=by, at=NOW, today=TODAY)
        arrivals = [Arrival(line_id=line.pk, quantity=line.quantity) for line in order.lines.all()]
        receive(order, arrivals, by=by, at=NOW, delivery_note="", remark="")


def give_trade(user: User, code: str, *, hours_per_day: str = "8") -> None:
    user.hours_per_day = Decimal(hours_per_day)
    user.save()
    Skill.objects.create(user=user, trade=Trade.objects.get(code=code))
