from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal

from catalogue.demo.tables import Row, by_code, checked, missing, part_rows, rows_of, values_for
from catalogue.models import Category, Part, Supplier, SupplierPart, Trade
from fitout.kit.models import User
from fitout.kit.money import round_money

DEARER_SINCE = {Category.CABLE: Decimal("1.06"), Category.POWER: Decimal("1.03")}
"""Systems whose prices rose since last year, so that the demo has a price history."""

LAST_LIST = timedelta(days=190)
THIS_LIST = timedelta(days=20)


def load(by: User) -> None:
    trades = by_code(Trade)
    for row in missing(Supplier, rows_of("suppliers")):
        supplier = Supplier(
            **values_for(Supplier, row), trade=trades.get(row["trade"]), changed_by=by
        )
        checked(supplier).save()


def load_offers(by: User, new_parts: Sequence[Part], today: date) -> None:
    parts = {part.code: part for part in new_parts}
    suppliers = by_code(Supplier)
    first = [row for row in part_rows() if row["code"] in parts]
    second = [row for row in rows_of("second_offers") if row["part"] in parts]
    offers = [_offer(row, parts[row["code"]], suppliers, by, preferred=True) for row in first]
    offers += [_offer(row, parts[row["part"]], suppliers, by, preferred=False) for row in second]
    for offer in offers:
        offer.price_date = today - THIS_LIST
    dearer = [offer for offer in offers if offer.part.category in DEARER_SINCE]
    now = {id(offer): offer.cost for offer in dearer}
    for offer in dearer:
        offer.cost = round_money(offer.cost / DEARER_SINCE[Category(offer.part.category)])
        offer.price_date = today - LAST_LIST
    SupplierPart.objects.bulk_create(checked(offer) for offer in offers)
    for offer in dearer:
        offer.cost, offer.price_date = now[id(offer)], today - THIS_LIST
    SupplierPart.objects.bulk_update(dearer, ["cost", "price_date"])


def _offer(
    row: Row, part: Part, suppliers: dict[str, Supplier], by: User, *, preferred: bool
) -> SupplierPart:
    return SupplierPart(
        **values_for(SupplierPart, row),
        part=part,
        supplier=suppliers[row["supplier"]],
        preferred=preferred,
        changed_by=by,
    )
