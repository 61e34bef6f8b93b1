from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from catalogue.models import PriceList, Supplier, SupplierPart
from tests.factories.jobs import make_offer, make_part, make_supplier
from tests.web.catalogue.messages import errors_of

pytestmark = pytest.mark.django_db


def upload(client: Client, supplier: Supplier, content: str, name: str = "spring.csv") -> PriceList:
    answer = send(client, supplier, content, name)
    assert answer.status_code == 303, errors_of(answer.content)
    return PriceList.objects.latest("pk")


def send(client: Client, supplier: Supplier, content: str, name: str = "spring.csv") -> Any:
    file = SimpleUploadedFile(name, content.encode())
    url = reverse("catalogue:price_list", args=[supplier.pk])
    return client.post(url, {"file": file, "price_date": "2026-05-01"})


def seal_in(page: str) -> str:
    return page.split('name="seal" value="')[1].split('"', maxsplit=1)[0]


def test_a_list_is_looked_at_then_applied(estimator_client: Client) -> None:
    supplier = make_supplier()
    empty = estimator_client.get(reverse("catalogue:price_list", args=[supplier.pk]))
    assert (empty.status_code, errors_of(empty.content)) == (200, "")
    offer = make_offer(make_part(code="P-1", cost=None), cost="10.00", supplier=supplier)
    made = upload(estimator_client, supplier, "code;cost;colour\nS-P-1;11,25;red\nX-9;3;blue")
    page = estimator_client.get(made.get_absolute_url()).content.decode()
    assert "Nothing is changed yet." in page
    assert "Cost: €10.00 to <b>€11.25</b>" in page
    assert "code: is not known here" in page
    assert "colour" in page
    assert SupplierPart.objects.get(pk=offer.pk).cost == Decimal("10.00")
    answer = estimator_client.post(made.get_absolute_url(), {"seal": seal_in(page)})
    assert answer.status_code == 303
    assert SupplierPart.objects.get(pk=offer.pk).cost == Decimal("11.25")
    assert "Applied on" in estimator_client.get(made.get_absolute_url()).content.decode()


def test_a_list_looked_at_too_long_ago_is_shown_again(estimator_client: Client) -> None:
    supplier = make_supplier()
    offer = make_offer(make_part(cost=None), cost="10.00", supplier=supplier)
    made = upload(estimator_client, supplier, f"code;cost\n{offer.supplier_code};11")
    answer = estimator_client.post(made.get_absolute_url(), {"seal": "of another day"})
    assert answer.status_code == 409
    assert "has moved since you looked" in answer.content.decode()
    assert SupplierPart.objects.get(pk=offer.pk).cost == Decimal("10.00")


def test_a_list_is_dropped(estimator_client: Client) -> None:
    supplier = make_supplier()
    made = upload(estimator_client, supplier, "code;cost\nX;11")
    assert estimator_client.post(made.get_absolute_url(), {"drop": "1"}).status_code == 303
    assert "Dropped on" in estimator_client.get(made.get_absolute_url()).content.decode()


def test_a_file_that_cannot_be_used_is_refused_at_its_field(estimator_client: Client) -> None:
    answer = send(estimator_client, make_supplier(), "nothing of use\nat all")
    assert answer.status_code == 422
    assert "Price list: two columns at least" in errors_of(answer.content)
    assert not PriceList.objects.exists()


def columns_url(made: PriceList) -> str:
    return reverse("catalogue:price_list_columns", args=[made.supplier_id, made.pk])


def test_columns_nobody_recognises_are_told_by_hand(estimator_client: Client) -> None:
    supplier = make_supplier()
    offer = make_offer(make_part(code="P-1", cost=None), cost="10.00", supplier=supplier)
    made = upload(estimator_client, supplier, "Ref;Netto;Brutto\nS-P-1;11,25;15")
    answer = estimator_client.get(made.get_absolute_url())
    assert answer.headers["Location"] == columns_url(made)
    page = estimator_client.get(columns_url(made)).content.decode()
    assert "Netto: 11,25" in page
    told = {"supplier_code": "Ref", "cost": "Netto"}
    assert estimator_client.post(columns_url(made), told).status_code == 303
    page = estimator_client.get(made.get_absolute_url()).content.decode()
    assert "Cost: €10.00 to <b>€11.25</b>" in page
    estimator_client.post(made.get_absolute_url(), {"seal": seal_in(page)})
    assert SupplierPart.objects.get(pk=offer.pk).cost == Decimal("11.25")
    following = upload(estimator_client, supplier, "Ref;Netto;Brutto\nS-P-1;12;16")
    assert following.columns == told


@pytest.mark.parametrize(
    ("told", "message"),
    [
        ({"supplier_code": "Ref"}, "Cost: fill this in."),
        ({"supplier_code": "Ref", "cost": "Brutto!"}, "Cost: choose one from the list."),
        (
            {"supplier_code": "Ref", "cost": "Ref"},
            "Cost: “Ref” is chosen for supplier’s code already.",
        ),
    ],
)
def test_columns_told_wrong_are_refused_at_their_field(
    estimator_client: Client, told: dict[str, str], message: str
) -> None:
    made = upload(estimator_client, make_supplier(), "Ref;Netto\nA;1")
    answer = estimator_client.post(columns_url(made), told)
    assert answer.status_code == 422
    assert message in errors_of(answer.content)
    assert PriceList.objects.get(pk=made.pk).columns == {}


def test_a_list_is_dropped_before_its_columns_are_told(estimator_client: Client) -> None:
    made = upload(estimator_client, make_supplier(), "Ref;Netto\nA;1")
    assert estimator_client.post(made.get_absolute_url(), {"drop": "1"}).status_code == 303
    assert "Dropped on" in estimator_client.get(made.get_absolute_url()).content.decode()
    settled = estimator_client.get(columns_url(made))
    assert settled.headers["Location"] == made.get_absolute_url()


def test_markup_in_a_list_is_escaped(estimator_client: Client) -> None:
    made = upload(estimator_client, make_supplier(), "code;cost\n<script>alert(1)</script>;1")
    assert "<script>alert" not in estimator_client.get(made.get_absolute_url()).content.decode()


def test_price_lists_are_for_the_office(technician_client: Client) -> None:
    supplier = make_supplier()
    assert (
        technician_client.get(reverse("catalogue:price_list", args=[supplier.pk])).status_code
        == 403
    )


def test_a_list_of_another_supplier_is_not_found(estimator_client: Client) -> None:
    made = upload(estimator_client, make_supplier(), "code;cost\nX;11")
    url = reverse("catalogue:price_list_check", args=[make_supplier().pk, made.pk])
    assert estimator_client.get(url).status_code == 404


def test_queries_do_not_grow_with_rows(
    estimator_client: Client, queries_of: Callable[[Callable[[], object]], int]
) -> None:
    supplier = make_supplier()
    lines = []
    for _ in range(10):
        offer = make_offer(make_part(cost=None), cost="10.00", supplier=supplier)
        lines.append(f"{offer.supplier_code};{offer.part.code};11")
    one = upload(estimator_client, supplier, "code;our code;cost\n" + lines[0])
    ten = upload(estimator_client, supplier, "code;our code;cost\n" + "\n".join(lines))
    estimator_client.get(one.get_absolute_url())
    urls = [made.get_absolute_url() for made in (one, ten)]
    few = queries_of(lambda: estimator_client.get(urls[0]))
    many = queries_of(lambda: estimator_client.get(urls[1]))
    assert few == many
