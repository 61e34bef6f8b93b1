"""Do what the check of a price list showed, all of it or nothing."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import transaction

from catalogue.models import PriceList, SupplierPart
from catalogue.models.price_lists import PriceListState
from catalogue.price_lists.checking import Check, CheckedRow, Outcome, check
from catalogue.price_lists.columns import are_told
from fitout.kit import audit

FIELDS = (
    "supplier_code", "cost", "pack_quantity", "minimum_order", "lead_days",
    "price_date", "active", "version", "changed_at", "changed_by",
)  # fmt: skip


class Moved(Exception):
    """The catalogue changed since the list was looked at, or the list is settled already."""


@transaction.atomic
def apply(price_list: PriceList, *, seal: str, by: Any, at: datetime) -> Check:
    held = PriceList.objects.select_for_update().get(pk=price_list.pk)
    done = check(held)
    if not held.is_open or done.seal != seal:
        raise Moved
    changed = [_changed(row, held, by, at) for row in done.of(Outcome.CHANGED)]
    SupplierPart.objects.bulk_update(changed, FIELDS, batch_size=200)
    new = [_new(row, held, by, at) for row in done.of(Outcome.NEW)]
    SupplierPart.objects.bulk_create(new, batch_size=200)
    _settle(held, PriceListState.APPLIED, done, by=by, at=at)
    return done


@transaction.atomic
def drop(price_list: PriceList, *, by: Any, at: datetime) -> None:
    held = PriceList.objects.select_for_update().get(pk=price_list.pk)
    if not held.is_open:
        raise Moved
    found = check(held) if are_told(held.columns) else Check([])
    _settle(held, PriceListState.DROPPED, found, by=by, at=at)


def _settle(held: PriceList, state: str, done: Check, *, by: Any, at: datetime) -> None:
    counts = done.counts
    held.state, held.settled_at = state, at
    held.result = ", ".join(f"{number} {word}" for word, number in counts.items() if number)
    held.save(update_fields=["state", "settled_at", "result"])
    verb = "Applied" if state == PriceListState.APPLIED else "Dropped"
    label = f"{verb} price list {held.filename}: {held.result}"
    audit.record(by, "price list", held.supplier, scope="parts", label=label, after=counts)


def _changed(row: CheckedRow, held: PriceList, by: Any, at: datetime) -> SupplierPart:
    offer = row.offer
    if offer is None:
        raise Moved
    offer.supplier_code = row.typed["supplier_code"]
    for name, value in row.values.items():
        setattr(offer, name, value)
    offer.price_date, offer.active = held.price_date, True
    offer.version += 1
    offer.changed_at, offer.changed_by = at, by
    return offer


def _new(row: CheckedRow, held: PriceList, by: Any, at: datetime) -> SupplierPart:
    return SupplierPart(
        supplier=held.supplier,
        part=row.part,
        supplier_code=row.typed["supplier_code"],
        price_date=held.price_date,
        changed_at=at,
        changed_by=by,
        **{"lead_days": held.supplier.lead_days, **row.values},
    )
