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


def move(item: KitItem, steps: int, *, version: int, by: Any) -> None:
    """Up (-1) or down (+1) among the items; at the end of the list it stays."""
    items = list(item.kit.items.all())
    at = items.index(item)
    to = at + steps
    if not 0 <= to < len(items):
        return
    label = f"Moved {item.subject} {'up' if steps < 0 else 'down'} in {item.kit.code}"
    items[at], items[to] = items[to], items[at]
    with _item_change(item, label, version, by, *items):
        for position, moved in enumerate(items, 1):
            moved.position = position
        KitItem.objects.bulk_update(items, ["position"])


@contextmanager
def _item_change(
    item: KitItem, label: str, version: int, by: Any, *others: KitItem
) -> Iterator[None]:
    """The kit's version guards its items; raises `StaleVersion` if somebody was faster."""
    with audit.tracked(actor=by, scope="kits", label=label, action="kit item") as entry:
        entry.watch(item.kit, item, *others)
        item.kit.save_if_version(version, by=by, update_fields=[])
        yield


def stale_words(kit: Kit) -> str:
    who = kit.changed_by or "Somebody else"
    return (
        f"{who} changed {kit.code} meanwhile. Here it is as stored now; nothing of yours is saved."
    )
