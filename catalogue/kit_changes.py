"""What may be done to the content of a kit, each an undoable entry of the audit trail."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from decimal import Decimal
from typing import Any

from catalogue.models import Kit, KitItem
from fitout.kit import audit


def hold_kits() -> None:
    """Two people who put kits into each other at once must wait for one another."""
    list(Kit.objects.select_for_update().order_by("pk").values_list("pk"))


def add(item: KitItem, *, by: Any) -> None:
    label = f"Put {item.quantity} × {item.subject} into {item.kit.code}"
    with audit.tracked(actor=by, scope="kits", label=label, action="kit item") as change:
        change.watch(item.kit)
        item.kit.save_if_version(item.kit.version, by=by, update_fields=[])
        item.save()
        change.created(item)


def change_quantity(item: KitItem, quantity: Decimal, *, version: int, by: Any) -> None:
    label = f"Changed the quantity of {item.subject} in {item.kit.code}"
    with _item_change(item, label, version, by):
        item.quantity = quantity
        item.save(update_fields=["quantity"])


def remove(item: KitItem, *, version: int, by: Any) -> None:
    label = f"Took {item.subject} out of {item.kit.code}"
    with _item_change(item, label, version, by):
        item.delete()


@contextmanager
def _item_change(item: KitItem, label: str, version: int, by: Any) -> Iterator[None]:
    """The kit's version guards its items; raises `StaleVersion` if somebody was faster."""
    with audit.tracked(actor=by, scope="kits", label=label, action="kit item") as entry:
        entry.watch(item.kit, item)
        item.kit.save_if_version(version, by=by, update_fields=[])
        yield


def stale_words(kit: Kit) -> str:
    who = kit.changed_by or "Somebody else"
    return (
        f"{who} changed {kit.code} meanwhile. Here it is as stored now; nothing of yours is saved."
    )
