"""Goods receipts, serial numbers and the way of a part through the workshop."""

from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from fitout.jobs.models import Job
from fitout.jobs.sheet import sheet_lines
from fitout.jobs.sheet.adding import add_part
from fitout.kit.models import User
from fitout.purchasing.columns import follow_lines
from fitout.purchasing.followup import FollowUp, Progress, progress_by_part, progress_of
from fitout.purchasing.models import GoodsReceipt, Movement, MovementKind, OrderStatus, SerialNumber
from fitout.purchasing.moving import CannotMove, move, put_right
from fitout.purchasing.needs import needs_of
from fitout.purchasing.ordering import propose, send
from fitout.purchasing.receiving import Arrival, CannotReceive, receive, to_come
from tests.factories.jobs import make_part
from tests.factories.orders import NOW, TODAY, buying_job, sent_order


@pytest.fixture
def ordered(owner: User) -> Job:
    """Four tracked pumps on one order."""
    part = make_part(code="PU-63")
    part.serial_tracked = True
    part.save()
    job = buying_job(owner, (part, "4"))
    sent_order(job, owner)
    return job


def arrive(job: Job, by: User, quantity: str, *serials: str, rejected: str = "0") -> GoodsReceipt:
    order = job.purchase_orders.get()
    line = order.lines.get()
    arrival = Arrival(
        line_id=line.pk, quantity=Decimal(quantity), rejected=Decimal(rejected), serials=serials
    )
    return receive(order, [arrival], by=by, at=NOW)


def state(job: Job) -> str:
    (need,) = needs_of(job)
    return need.state


def test_lines_of_one_zone_follow_what_the_whole_job_needs(ordered: Job, owner: User) -> None:
    arrive(ordered, owner, "4")
    job = Job.objects.get(pk=ordered.pk)
    line = job.lines.get()
    other = job.vessel.zones.exclude(pk=line.zone_id).first()
    assert other is not None
    assert line.part is not None
    add_part(job, other, line.part, by=owner)
    of_zone = sheet_lines(job, line.zone)
    assert [item.id for item in of_zone] == [line.pk]
    whole = sheet_lines(job)
    assert len(whole) == 2
    follow = follow_lines(job, of_zone, lambda: whole)
    assert follow[line.pk] == follow_lines(job, whole, lambda: whole)[line.pk]
    assert follow[line.pk].state != follow_lines(job, of_zone, lambda: of_zone)[line.pk].state


class TestReceipts:
    def test_part_delivery_leaves_the_rest_on_back_order(self, ordered: Job, owner: User) -> None:
        arrive(ordered, owner, "3")
        order = ordered.purchase_orders.get()
        assert (order.status, to_come(order)[0].open) == (OrderStatus.PART_RECEIVED, Decimal(1))
        assert state(ordered) == FollowUp.PART_RECEIVED

    def test_rejected_goods_stay_to_come(self, ordered: Job, owner: User) -> None:
        arrive(ordered, owner, "3", rejected="1")
        arrive(ordered, owner, "1")
        assert ordered.purchase_orders.get().status == OrderStatus.RECEIVED
        assert state(ordered) == FollowUp.RECEIVED

    def test_more_than_ordered_is_refused_naming_the_limit(self, ordered: Job, owner: User) -> None:
        with pytest.raises(CannotReceive) as trouble:
            arrive(ordered, owner, "5")
        assert str(trouble.value) == "PU-63: 5 pc came, but only 4 pc are to come on this order."
        assert not GoodsReceipt.objects.exists()

    def test_serial_number_twice_is_refused(self, ordered: Job, owner: User) -> None:
        with pytest.raises(CannotReceive, match="a serial number stands there twice"):
            arrive(ordered, owner, "2", "A-1", "A-1")
        arrive(ordered, owner, "1", "A-1")
        with pytest.raises(CannotReceive, match="serial number A-1 is on record already"):
            arrive(ordered, owner, "1", "A-1")
        assert SerialNumber.objects.count() == 1

    def test_more_serial_numbers_than_pieces_are_refused(self, ordered: Job, owner: User) -> None:
        with pytest.raises(CannotReceive, match="2 serial numbers for 1 received"):
            arrive(ordered, owner, "1", "A-1", "A-2")

    def test_receipts_are_append_only(self, ordered: Job, owner: User) -> None:
        receipt = arrive(ordered, owner, "1")
        with pytest.raises(IntegrityError, match="append-only"), transaction.atomic():
            receipt.lines.update(quantity=4)
        with pytest.raises(IntegrityError, match="append-only"), transaction.atomic():
            Movement.objects.all().delete()


class TestMovements:
    def test_part_goes_from_received_to_picked_to_fitted(self, ordered: Job, owner: User) -> None:
        arrive(ordered, owner, "4")
        (need,) = needs_of(ordered)
        states = []
        for kind in (MovementKind.PICKED, MovementKind.FITTED):
            move(ordered, need.part, kind, Decimal(4), by=owner, at=NOW)
            states.append(state(ordered))
        assert states == [FollowUp.PICKED, FollowUp.FITTED]

    def test_progress_of_one_part_is_what_it_is_among_all(self, owner: User) -> None:
        pump, hose = make_part(code="PU-63"), make_part(code="HO-25")
        job = buying_job(owner, (pump, "4"), (hose, "6"))
        for draft in propose(job, by=owner, today=TODAY):
            order = send(draft, by=owner, at=NOW, today=TODAY)
            arrivals = [Arrival(line_id=line.pk, quantity=Decimal(3)) for line in order.lines.all()]
            receive(order, arrivals, by=owner, at=NOW)
        for part, quantity in ((pump, 1), (hose, 2)):
            move(job, part, MovementKind.PICKED, Decimal(quantity), by=owner, at=NOW)
        every = progress_by_part(job)
        assert [every[part.pk].picked for part in (pump, hose)] == [1, 2]
        assert [every[part.pk].to_come for part in (pump, hose)] == [1, 3]
        assert progress_of(job, pump) == every[pump.pk]
        assert progress_of(job, hose) == every[hose.pk]
        assert progress_of(job, make_part(code="NE-1")) == Progress()

    def test_more_than_is_here_cannot_be_picked(self, ordered: Job, owner: User) -> None:
        arrive(ordered, owner, "2")
        (need,) = needs_of(ordered)
        with pytest.raises(CannotMove) as trouble:
            move(ordered, need.part, MovementKind.PICKED, Decimal(3), by=owner, at=NOW)
        assert str(trouble.value) == "PU-63: 3 pc picked, but at most 2 pc can be."

    def test_slip_put_right_cancels_out_and_both_stay_on_record(
        self, ordered: Job, owner: User
    ) -> None:
        arrive(ordered, owner, "4")
        (need,) = needs_of(ordered)
        slip = move(ordered, need.part, MovementKind.PICKED, Decimal(4), by=owner, at=NOW)
        put_right(slip, by=owner, at=NOW)
        assert progress_by_part(ordered)[need.part.pk].picked == 0
        assert Movement.objects.filter(kind=MovementKind.PICKED).count() == 2
        with pytest.raises(CannotMove, match="put right already"):
            put_right(slip, by=owner, at=NOW)

    def test_what_is_fitted_cannot_be_unpicked(self, ordered: Job, owner: User) -> None:
        arrive(ordered, owner, "4")
        (need,) = needs_of(ordered)
        picked = move(ordered, need.part, MovementKind.PICKED, Decimal(4), by=owner, at=NOW)
        move(ordered, need.part, MovementKind.FITTED, Decimal(4), by=owner, at=NOW)
        with pytest.raises(CannotMove, match="is fitted already"):
            put_right(picked, by=owner, at=NOW)

    def test_part_taken_off_the_sheet_after_it_came_is_left_over(
        self, ordered: Job, owner: User
    ) -> None:
        arrive(ordered, owner, "4")
        ordered.lines.all().delete()
        assert state(ordered) == FollowUp.LEFT_OVER
