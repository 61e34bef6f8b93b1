"""Parts, orders and receipts as each role meets them."""

from collections.abc import Callable
from decimal import Decimal

import pytest
from bs4 import BeautifulSoup
from django.test import Client
from django.urls import reverse

from catalogue.models import Part
from fitout.jobs.models import Job
from fitout.kit.models import User
from fitout.purchasing.models import GoodsReceipt, Movement, OrderStatus, PurchaseOrder
from fitout.purchasing.ordering import propose, send
from tests.factories.jobs import make_offer, make_part, make_supplier
from tests.factories.orders import NOW, TODAY, buying_job

COST = "317.61"
Queries = Callable[[Callable[[], object]], int]


def job_with(by: User, count: int) -> Job:
    """Parts of one supplier; 4 of each are needed."""
    supplier = make_supplier(name="Sluice Lane Pumps")
    parts = []
    for number in range(count):
        part = make_part(code=f"PU-{number}", cost=None, description=f"Pump {number}")
        make_offer(part, cost=COST, supplier=supplier)
        parts.append((part, "4"))
    return buying_job(by, *parts)


def job_of_suppliers(by: User, count: int) -> Job:
    """One part of each supplier."""
    parts = []
    for number in range(count):
        part = make_part(code=f"PU-{number}", cost=None)
        make_offer(part, cost=COST, supplier=make_supplier(name=f"Supplier {number}"))
        parts.append((part, "4"))
    return buying_job(by, *parts)


def sent(job: Job, by: User) -> PurchaseOrder:
    (draft,) = propose(job, by=by, today=TODAY)
    return send(draft, by=by, at=NOW, today=TODAY)


@pytest.fixture
def job(estimator: User) -> Job:
    return job_with(estimator, 1)


@pytest.fixture
def order(job: Job, estimator: User) -> PurchaseOrder:
    return sent(job, estimator)


def url(name: str, *args: object) -> str:
    return reverse(f"purchasing:{name}", args=args)


def receipt(order: PurchaseOrder, accepted: str, **also: str) -> dict[str, str]:
    line = order.lines.get()
    return {f"quantity_{line.pk}": accepted, "delivery_note": "DN 7", **also}


class TestGroups:
    """Long lists stand in groups, which a phone folds but for the one that waits."""

    def heads(self, client: Client, page: str, table: int) -> list[tuple[str, bool]]:
        soup = BeautifulSoup(client.get(page).content, "html.parser")
        found = soup.select("table[data-groups]")[table]
        return [
            (
                " ".join(group.select_one(".zone-head").get_text(" ").split()),  # type: ignore[union-attr]
                group.has_attr("data-open"),
            )
            for group in found.select("tbody")
        ]

    def test_orders_that_wait_come_before_those_received(
        self, estimator_client: Client, estimator: User
    ) -> None:
        job = job_of_suppliers(estimator, 3)
        first, second, _ = propose(job, by=estimator, today=TODAY)
        send(first, by=estimator, at=NOW, today=TODAY)
        PurchaseOrder.objects.filter(pk=second.pk).update(
            status=OrderStatus.RECEIVED, sequence=99, ordered_on=TODAY
        )
        found = self.heads(estimator_client, url("job", job.number), 0)
        assert found == [("Drafts 1", True), ("To come 1", True), ("Received 1", False)]
        on_all = self.heads(estimator_client, f"{url('orders')}?show=all", 0)
        assert [name.split()[0] for name, _ in on_all] == ["Drafts", "To", "Received"]

    def test_shortages_stand_by_what_to_do_about_them(
        self, estimator_client: Client, estimator: User
    ) -> None:
        job = job_of_suppliers(estimator, 2)
        first, _ = propose(job, by=estimator, today=TODAY)
        send(first, by=estimator, at=NOW, today=TODAY)
        PurchaseOrder.objects.filter(pk=first.pk).update(due_on=TODAY)
        found = self.heads(estimator_client, url("job", job.number), 1)
        assert [name for name, _ in found] == ["Late 1", "Not ordered 1"]


class TestRoles:
    def test_technician_follows_parts_without_any_price(
        self, technician_client: Client, job: Job, order: PurchaseOrder
    ) -> None:
        for page in (url("job", job.number), url("order", order.pk), url("orders")):
            content = technician_client.get(page).content
            assert b"\xe2\x82\xac" not in content  # no euro sign
            assert COST.encode() not in content
        assert b"Pump 0" in technician_client.get(url("order", order.pk)).content

    def test_technician_neither_drafts_nor_sends_nor_cancels(
        self, technician_client: Client, job: Job, order: PurchaseOrder
    ) -> None:
        for target in (
            url("propose", job.number),
            url("send", order.pk),
            url("cancel", order.pk),
            url("quantity", order.pk, order.lines.get().pk),
        ):
            assert technician_client.post(target).status_code == 403

    def test_technician_finds_no_draft(
        self, technician_client: Client, job: Job, estimator: User
    ) -> None:
        (draft,) = propose(job, by=estimator, today=TODAY)
        assert technician_client.get(url("order", draft.pk)).status_code == 404
        for show in ("", "?show=all"):
            listed = technician_client.get(url("orders") + show).content.decode()
            assert url("order", draft.pk) not in listed

    def test_technician_receives_goods(
        self, technician_client: Client, order: PurchaseOrder, technician: User
    ) -> None:
        answer = technician_client.post(url("receive", order.pk), receipt(order, "4"))
        assert answer.status_code == 303
        assert GoodsReceipt.objects.get(order=order).received_by == technician

    def test_order_pdf_is_not_for_technicians(
        self, technician_client: Client, estimator_client: Client, order: PurchaseOrder
    ) -> None:
        pdf = reverse("kit:document", args=[order.document_id])
        assert technician_client.get(pdf).status_code == 403
        assert estimator_client.get(pdf).status_code == 200

    def test_nothing_is_ordered_before_the_quote_is_accepted(
        self, estimator_client: Client, job: Job
    ) -> None:
        Job.objects.filter(pk=job.pk).update(stage="quoted")
        assert estimator_client.post(url("propose", job.number)).status_code == 403
        page = estimator_client.get(url("job", job.number)).content.decode()
        assert "Orders open once the quote is accepted." in page


class TestRefusals:
    def test_more_than_to_come_is_refused_at_its_field_and_kept(
        self, estimator_client: Client, order: PurchaseOrder
    ) -> None:
        answer = estimator_client.post(url("receive", order.pk), receipt(order, "5"))
        page = answer.content.decode()
        assert answer.status_code == 422
        assert "PU-0: 5 pc came, but only 4 pc are to come on this order." in page
        assert 'value="5"' in page
        assert "DN 7" in page
        assert not GoodsReceipt.objects.exists()

    def test_empty_receipt_is_refused(self, estimator_client: Client, order: PurchaseOrder) -> None:
        answer = estimator_client.post(url("receive", order.pk), receipt(order, ""))
        assert answer.status_code == 422
        assert "say for one line at least what came" in answer.content.decode()

    @pytest.mark.parametrize("typed", ["-1", "100001", "three", "1,5,5"])
    def test_quantity_on_a_draft_that_cannot_be_is_refused_and_kept(
        self, estimator_client: Client, job: Job, estimator: User, typed: str
    ) -> None:
        (draft,) = propose(job, by=estimator, today=TODAY)
        line = draft.lines.get()
        answer = estimator_client.post(url("quantity", draft.pk, line.pk), {"quantity": typed})
        page = answer.content.decode()
        assert answer.status_code == 422
        assert "Quantity: " in page
        assert f'value="{typed}"' in page
        line.refresh_from_db()
        assert line.quantity == 4

    def test_decimal_comma_is_read(
        self, estimator_client: Client, job: Job, estimator: User
    ) -> None:
        (draft,) = propose(job, by=estimator, today=TODAY)
        line = draft.lines.get()
        estimator_client.post(url("quantity", draft.pk, line.pk), {"quantity": "6,0"})
        line.refresh_from_db()
        assert line.quantity == Decimal(6)

    def test_more_than_is_here_cannot_be_picked(
        self, estimator_client: Client, job: Job, order: PurchaseOrder
    ) -> None:
        estimator_client.post(url("receive", order.pk), receipt(order, "3"))
        part = Part.objects.get(code="PU-0")
        data = {"kind": "picked", "quantity": "4", "note": "for the bilge"}
        answer = estimator_client.post(url("move", job.number, part.pk), data)
        page = answer.content.decode()
        assert answer.status_code == 422
        assert "PU-0: 4 pc picked, but at most 3 pc can be." in page
        assert "for the bilge" in page

    def test_move_page_offers_what_most_likely_happens_next(
        self, estimator_client: Client, job: Job, order: PurchaseOrder
    ) -> None:
        estimator_client.post(url("receive", order.pk), receipt(order, "3"))
        part = Part.objects.get(code="PU-0")
        page = estimator_client.get(url("move", job.number, part.pk)).content.decode()
        assert '<option value="picked" selected>' in page
        assert 'value="3"' in page

    def test_sent_order_is_not_cancelled_once_goods_came(
        self, estimator_client: Client, order: PurchaseOrder
    ) -> None:
        estimator_client.post(url("receive", order.pk), receipt(order, "1"))
        answer = estimator_client.post(url("cancel", order.pk), {"reason": "changed our mind"})
        order.refresh_from_db()
        assert answer.status_code == 422
        assert order.status == OrderStatus.PART_RECEIVED


class TestEverythingCame:
    def test_it_fills_in_what_is_to_come_and_records_nothing(
        self, technician_client: Client, estimator: User
    ) -> None:
        order = sent(job_with(estimator, 2), estimator)
        first, second = order.lines.all()
        technician_client.post(url("receive", order.pk), {f"quantity_{first.pk}": "1"})
        typed = {"everything": "1", f"rejected_{second.pk}": "0,5", "delivery_note": "DN 9"}
        answer = technician_client.post(url("receive", order.pk), typed)
        form = answer.context["form"]
        assert answer.status_code == 200
        assert form[f"quantity_{first.pk}"].value() == "3"
        assert form[f"quantity_{second.pk}"].value() == "3.5"
        assert form["delivery_note"].value() == "DN 9"
        assert GoodsReceipt.objects.count() == 1

    def test_what_it_filled_in_is_one_receipt_when_sent(
        self, technician_client: Client, estimator: User
    ) -> None:
        order = sent(job_with(estimator, 2), estimator)
        filled = technician_client.post(url("receive", order.pk), {"everything": "1"})
        form = filled.context["form"]
        data = {field.html_name: field.value() or "" for field in form}
        assert technician_client.post(url("receive", order.pk), data).status_code == 303
        order.refresh_from_db()
        assert (order.status, order.receipts.count()) == (OrderStatus.RECEIVED, 1)

    def test_what_is_wrong_beside_it_is_said(
        self, technician_client: Client, order: PurchaseOrder
    ) -> None:
        line = order.lines.get()
        typed = {"everything": "1", f"rejected_{line.pk}": "two"}
        page = technician_client.post(url("receive", order.pk), typed).content.decode()
        assert "rejected: write a number" in page
        assert 'value="two"' in page
        assert 'value="4"' in page


class TestTwice:
    def test_receipt_sent_twice_counts_once(
        self, estimator_client: Client, order: PurchaseOrder
    ) -> None:
        data = receipt(order, "2", once="key-1")
        first = estimator_client.post(url("receive", order.pk), data)
        again = estimator_client.post(url("receive", order.pk), data)
        assert (first.status_code, again.status_code) == (303, 303)
        assert GoodsReceipt.objects.count() == 1
        assert Movement.objects.get().quantity == 2

    def test_order_sent_twice_has_one_number(
        self, estimator_client: Client, job: Job, estimator: User
    ) -> None:
        (draft,) = propose(job, by=estimator, today=TODAY)
        for _ in range(2):
            estimator_client.post(url("send", draft.pk))
        assert list(PurchaseOrder.objects.values_list("sequence", flat=True)) == [1]


class TestQueries:
    def test_parts_page_asks_the_same_for_one_part_and_ten(
        self, estimator_client: Client, estimator: User, queries_of: Queries
    ) -> None:
        one, ten = job_with(estimator, 1), job_with_other_codes(estimator, 10)
        for job in (one, ten):
            sent(job, estimator)
        estimator_client.get(url("job", one.number))  # what is read once per process
        few = queries_of(lambda: estimator_client.get(url("job", one.number)))
        many = queries_of(lambda: estimator_client.get(url("job", ten.number)))
        assert many == few

    def test_orders_page_asks_the_same_for_one_order_and_ten(
        self, estimator_client: Client, estimator: User, queries_of: Queries
    ) -> None:
        job = buying_job(estimator, (make_part(), "1"))
        propose(job, by=estimator, today=TODAY)
        few = queries_of(lambda: estimator_client.get(url("orders")))
        more = buying_job(estimator, *((make_part(), "1") for _ in range(9)))
        assert len(propose(more, by=estimator, today=TODAY)) == 9
        assert queries_of(lambda: estimator_client.get(url("orders"))) == few


def job_with_other_codes(by: User, count: int) -> Job:
    supplier = make_supplier(name="Gannet Row Electrical")
    parts = []
    for _ in range(count):
        part = make_part(cost=None)
        make_offer(part, cost=COST, supplier=supplier)
        parts.append((part, "4"))
    return buying_job(by, *parts)
