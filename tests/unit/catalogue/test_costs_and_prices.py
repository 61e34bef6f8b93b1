"""What a part costs, from which offer, and that every cost it ever had stays on record."""

from datetime import date
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from catalogue.forms.offers import OfferForm
from catalogue.models import Part, PriceChange, SupplierPart
from fitout.kit.models import AuditEntry, User
from fitout.kit.undo import undo
from tests.factories.jobs import make_offer, make_part, make_supplier

pytestmark = pytest.mark.django_db


def second_offer(part: Part, *, cost: str, active: bool = True) -> SupplierPart:
    return SupplierPart.objects.create(
        supplier=make_supplier(),
        part=part,
        supplier_code="B-2",
        cost=Decimal(cost),
        price_date=date(2026, 3, 2),
        active=active,
    )


def cost_of(part: Part) -> Decimal | None:
    return Part.objects.with_cost().get(pk=part.pk).cost  # type: ignore[attr-defined]


def test_cost_is_the_preferred_offers_even_when_another_is_cheaper() -> None:
    part = make_part(cost="12.40")
    second_offer(part, cost="9.99")
    assert cost_of(part) == Decimal("12.40")


def test_cost_without_a_preferred_offer_is_the_cheapest_still_made() -> None:
    part = make_part(cost=None)
    second_offer(part, cost="14.00")
    second_offer(part, cost="11.00")
    second_offer(part, cost="5.00", active=False)
    assert cost_of(part) == Decimal("11.00")


def test_cost_is_none_without_offers() -> None:
    part = make_part(cost=None)
    assert cost_of(part) is None


def test_computed_cost_has_two_decimals_so_that_it_may_be_stored() -> None:
    cost = cost_of(make_part(cost="145.00"))
    assert str(cost) == "145.00"


def test_only_one_offer_of_a_part_is_preferred() -> None:
    part = make_part(cost="1.00")
    with pytest.raises(IntegrityError), transaction.atomic():
        make_offer(part, cost="2.00")


def test_an_offer_no_longer_made_cannot_be_preferred() -> None:
    offer = make_offer(make_part(cost=None), cost="2.00")
    with pytest.raises(IntegrityError), transaction.atomic():
        SupplierPart.objects.filter(pk=offer.pk).update(active=False)


def costs(offer: SupplierPart) -> list[Decimal]:
    return list(offer.price_changes.order_by("pk").values_list("cost", flat=True))


def test_every_cost_is_recorded_whichever_way_it_is_written() -> None:
    offer = make_offer(make_part(cost=None), cost="10.00")
    offer.cost = Decimal("11.00")
    offer.save()
    SupplierPart.objects.filter(pk=offer.pk).update(cost="12.00")
    offer.refresh_from_db()
    offer.cost = Decimal("13.00")
    SupplierPart.objects.bulk_update([offer], ["cost"])
    assert costs(offer) == [Decimal(10), Decimal(11), Decimal(12), Decimal(13)]


def test_a_change_that_leaves_the_cost_records_no_price() -> None:
    offer = make_offer(make_part(cost=None), cost="10.00")
    offer.lead_days = 30
    offer.save()
    assert costs(offer) == [Decimal(10)]


def test_the_price_history_cannot_be_changed_or_removed() -> None:
    offer = make_offer(make_part(cost=None), cost="10.00")
    with pytest.raises(IntegrityError, match="append-only"), transaction.atomic():
        PriceChange.objects.filter(offer=offer).update(cost="1.00")
    with pytest.raises(IntegrityError, match="append-only"), transaction.atomic():
        PriceChange.objects.filter(offer=offer).delete()


def offer_data(offer: SupplierPart, **changes: str) -> dict[str, str]:
    return {
        "supplier": str(offer.supplier_id),
        "supplier_code": offer.supplier_code,
        "cost": str(offer.cost),
        "price_date": "2026-04-01",
        "pack_quantity": "1",
        "minimum_order": "1",
        "lead_days": "5",
        "active": "on",
        "version": str(offer.version),
        **changes,
    }


def save(offer: SupplierPart, user: User, **changes: str) -> None:
    form = OfferForm(offer_data(offer, **changes), instance=offer)
    assert form.is_valid(), form.errors
    form.save_by(user)


def test_a_changed_cost_is_recorded_with_who_did_it(estimator: User) -> None:
    offer = make_offer(make_part(cost=None), cost="10.00")
    save(offer, estimator, cost="10,80", preferred="on")
    latest = offer.price_changes.latest("pk")
    assert (latest.cost, latest.price_date) == (Decimal("10.80"), date(2026, 4, 1))
    assert latest.recorded_by == estimator


def test_undoing_a_change_of_cost_is_a_price_of_its_own(estimator: User, owner: User) -> None:
    offer = make_offer(make_part(cost=None), cost="10.00")
    save(offer, estimator, cost="15")
    undo(AuditEntry.objects.latest("pk"), by=owner)
    assert costs(offer) == [Decimal(10), Decimal(15), Decimal(10)]
    assert offer.price_changes.latest("pk").recorded_by == owner


def test_making_another_offer_the_first_choice_takes_it_from_the_old_one(estimator: User) -> None:
    part = make_part(cost="10.00")
    other = second_offer(part, cost="9.00")
    save(other, estimator, preferred="on")
    assert list(part.offers.filter(preferred=True)) == [other]


@pytest.mark.parametrize(
    ("needed", "pack", "minimum", "ordered"),
    [
        ("1", "1", "1", "1"),
        ("7.3", "1", "1", "8"),
        ("26", "25", "25", "50"),
        ("3", "10", "40", "40"),
    ],
)
def test_orders_are_whole_packs_and_the_minimum_at_least(
    needed: str, pack: str, minimum: str, ordered: str
) -> None:
    offer = SupplierPart(pack_quantity=Decimal(pack), minimum_order=Decimal(minimum))
    assert offer.order_quantity(Decimal(needed)) == Decimal(ordered)
