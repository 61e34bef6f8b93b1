from collections.abc import Callable
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalogue.models import Condition, LabourOperation, Supplier, TaxGroup, Trade
from catalogue.search import find
from fitout.kit.models import User
from tests.factories.jobs import (
    make_condition,
    make_kit,
    make_operation,
    make_part,
    make_supplier,
    make_tax_group,
    make_trade,
)
from tests.web.catalogue.messages import errors_of

pytestmark = pytest.mark.django_db


def supplier_data(**changes: str) -> dict[str, str]:
    return {
        "name": "Eider Chandlery",
        "code": "eider",
        "lead_days": "4",
        "carriage": "9,50",
        "active": "on",
        **changes,
    }


def test_a_supplier_is_added(owner_client: Client) -> None:
    answer = owner_client.post("/suppliers/new/", supplier_data())
    supplier = Supplier.objects.get()
    assert answer.headers["Location"] == supplier.get_absolute_url()
    assert supplier.carriage == Decimal("9.50")
    assert "Eider Chandlery" in owner_client.get("/suppliers/").content.decode()


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"name": ""}, "Name: fill this in."),
        ({"code": "Not a slug"}, "Code:"),
        ({"email": "nobody"}, "Email: write an address"),
        ({"carriage": "-1"}, "Carriage per order: 0 € at least."),
        ({"is_subcontractor": "on"}, "Trade: choose the trade of this subcontractor."),
    ],
)
def test_bad_suppliers_are_refused_at_their_field(
    owner_client: Client, changes: dict[str, str], message: str
) -> None:
    answer = owner_client.post("/suppliers/new/", supplier_data(**changes))
    assert answer.status_code == 422
    assert message in errors_of(answer.content)
    assert not Supplier.objects.exists()


@pytest.mark.parametrize("path", ["list", "page"])
def test_queries_of_suppliers_do_not_grow_with_rows(
    path: str, owner_client: Client, queries_of: Callable[[Callable[[], object]], int]
) -> None:
    supplier = make_part().offers.get().supplier
    url = "/suppliers/" if path == "list" else supplier.get_absolute_url()
    owner_client.get(url)
    one = queries_of(lambda: owner_client.get(url))
    for _ in range(9):
        from tests.factories.jobs import make_offer

        make_offer(make_part(cost=None), cost="1.00", supplier=supplier)
        make_supplier()
    assert queries_of(lambda: owner_client.get(url)) == one


def test_suppliers_and_labour_are_for_the_office(technician_client: Client) -> None:
    supplier = make_supplier()
    for url in ("/suppliers/", supplier.get_absolute_url(), "/labour/", "/labour/trades/new/"):
        assert technician_client.get(url).status_code == 403


def test_each_labour_table_has_its_page(owner_client: Client) -> None:
    rows = {
        "operations": make_operation(),
        "trades": make_trade(),
        "conditions": make_condition(multiplier="1.2"),
        "tax": make_tax_group(),
    }
    for what, row in rows.items():
        url = reverse("catalogue:change_labour", args=[what, row.pk])
        assert owner_client.get(url).status_code == 200
        assert owner_client.get(reverse("catalogue:new_labour", args=[what])).status_code == 200
    assert owner_client.get("/labour/wages/new/").status_code == 404


def test_labour_rows_are_added(owner_client: Client) -> None:
    post = owner_client.post
    trade = {
        "name": "Rigging",
        "code": "rigging",
        "sell_per_h": "60",
        "cost_per_h": "35,5",
        "position": "9",
    }
    assert post("/labour/trades/new/", trade).status_code == 303
    operation = {
        "code": "RI-1", "description": "Step mast", "trade": str(Trade.objects.get().pk),
        "phase": "second_fix", "standard_h": "3.25", "per": "piece", "active": "on",
    }  # fmt: skip
    assert post("/labour/operations/new/", operation).status_code == 303
    condition = {"name": "Aloft", "code": "aloft", "multiplier": "1,5"}
    assert post("/labour/conditions/new/", condition).status_code == 303
    tax = {"name": "Reduced", "code": "reduced", "category_code": "S", "rate_pct": "13.5"}
    assert post("/labour/tax/new/", tax).status_code == 303
    assert LabourOperation.objects.get().standard_h == Decimal("3.25")
    assert Condition.objects.get().multiplier == Decimal("1.50")
    assert TaxGroup.objects.get().rate_pct == Decimal("13.50")
    page = owner_client.get("/labour/").content.decode()
    for text in ("Rigging", "Step mast", "Aloft", "Reduced"):
        assert text in page


@pytest.mark.parametrize(
    ("what", "data", "message"),
    [
        ("trades", {"sell_per_h": "1001"}, "Sell rate per hour: 1,000 € at most."),
        ("conditions", {"multiplier": "0.4"}, "Time multiplied by: 0.5 at least."),
        ("operations", {"standard_h": "0"}, "Standard time: 0.01 h at least."),
        ("tax", {"rate_pct": "101"}, "Rate: 100 % at most."),
        ("tax", {"category_code": "Z", "rate_pct": "5"}, "Rate: category Z has a rate of 0 %."),
    ],
)
def test_bad_labour_rows_are_refused(
    owner_client: Client, what: str, data: dict[str, str], message: str
) -> None:
    answer = owner_client.post(f"/labour/{what}/new/", data)
    assert answer.status_code == 422
    assert message in errors_of(answer.content)


def test_search_answers_each_role_with_what_it_may_see(owner: User, technician: User) -> None:
    make_part(code="GULL-PART")
    make_kit(code="GULL-KIT")
    make_supplier(name="Gull Works")
    make_operation(code="GULL-OP")
    assert {hit.kind for hit in find("gull", owner)} == {"Part", "Kit", "Supplier", "Labour"}
    assert [(hit.kind, hit.code) for hit in find("gull", technician)] == [("Part", "GULL-PART")]
    assert find("  ", owner) == []
