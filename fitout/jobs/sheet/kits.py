"""A kit laid out as lines: parts, work, and kits within kits, to any depth."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from catalogue.models import Kit, KitItem, TaxGroup
from fitout.jobs.models import Line

from .adding import Details, kit_values, labour_values, new_line, part_values
from .errors import SheetError
from .offers import Offers

DEEPEST = 12


def expand(top: Line) -> Iterator[Line]:
    """Unsaved lines for all that a saved or unsaved kit line holds, parents first."""
    if top.kit is None:
        raise ValueError(f"{top} is not a kit line")
    items = items_below(top.kit)
    parts = {item.part_id for of_kit in items.values() for item in of_kit if item.part_id}
    yield from _expand(top, items, Offers.of_parts(parts), top.tax_group, 1)


def items_below(kit: Kit) -> dict[int, list[KitItem]]:
    """Items of a kit and of every kit in it, one query a level."""
    found: dict[int, list[KitItem]] = defaultdict(list)
    level, depth = {kit.pk}, 0
    while level:
        if depth > DEEPEST:
            raise SheetError(f"Kit: {kit.code} holds kits more than {DEEPEST} deep.")
        rows = KitItem.objects.filter(kit_id__in=level).select_related(
            "kit", "part", "operation", "child"
        )
        for item in rows:
            found[item.kit_id].append(item)
        level = {item.child_id for item in rows if item.child_id} - set(found)
        depth += 1
    return found


def _expand(
    parent: Line, items: dict[int, list[KitItem]], offers: Offers, tax_group: TaxGroup, depth: int
) -> Iterator[Line]:
    if depth > DEEPEST:
        raise SheetError(f"Kit: {parent.description} holds itself.")
    for position, item in enumerate(items.get(parent.kit_id or 0, ()), start=1):
        line = _line_of(item, parent, offers, tax_group)
        line.parent, line.position = parent, position
        yield line
        if line.kit_id:
            yield from _expand(line, items, offers, tax_group, depth + 1)


def _line_of(item: KitItem, parent: Line, offers: Offers, tax_group: TaxGroup) -> Line:
    held = item.part or item.operation or item.child
    if held is not None and not held.active:
        raise SheetError(f"Kit: {item.kit} holds {held.code}, which is no longer in use.")
    if item.part is not None:
        values = part_values(item.part, offers)
    elif item.operation is not None:
        values = labour_values(item.operation, tax_group)
    elif item.child is not None:
        values = kit_values(item.child, tax_group)
    else:
        raise SheetError(f"Kit: {item.kit} holds an item that is nothing.")
    details = Details(quantity=item.quantity, choice=parent.choice)
    return new_line(parent.job, parent.zone, details, **values)
