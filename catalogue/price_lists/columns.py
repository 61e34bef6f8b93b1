"""Which column of a price list is which: by its heading, as last time, or as a person says."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from catalogue.models import PriceList, Supplier

LABELS = {
    "supplier_code": "supplier’s code",
    "cost": "cost",
    "our_code": "our code",
    "pack_quantity": "pack quantity",
    "minimum_order": "minimum order",
    "lead_days": "lead time",
    "description": "description",
}
NEEDED = ("supplier_code", "cost")
HEADINGS = {
    "supplier_code": ("supplier code", "their code", "article", "item", "code"),
    "our_code": ("our code", "your code", "part", "part code"),
    "cost": ("cost", "cost each", "price", "net price", "unit price"),
    "pack_quantity": ("pack", "pack quantity", "per pack"),
    "minimum_order": ("minimum", "minimum order"),
    "lead_days": ("lead", "lead days", "lead time", "lead time days"),
    "description": ("description", "text", "name"),
}


def recognised(heads: Sequence[str], supplier: Supplier) -> dict[str, str]:
    """Our name of a column to its heading: as in the supplier's last list, else by its words."""
    last = supplier.price_lists.values_list("columns", flat=True).first() or {}
    found = {ours: head for ours, head in last.items() if head in heads}
    for ours, words in HEADINGS.items():
        free = (head for head in heads if head not in found.values())
        by_words = {plain: head for head in reversed(list(free)) if (plain := _plain(head))}
        head = next((by_words[word] for word in words if word in by_words), None)
        if ours not in found and head is not None:
            found[ours] = head
    return found


def _plain(head: str) -> str:
    return " ".join(head.lower().replace("_", " ").replace("-", " ").split())


def are_told(columns: Mapping[str, str]) -> bool:
    """Whether the list can be checked: the columns it cannot do without are named."""
    return all(ours in columns for ours in NEEDED)


def rows_of(price_list: PriceList) -> Iterator[tuple[int, dict[str, str]]]:
    """The place of each row in the file, and its cells by our name of their column."""
    places = {ours: price_list.heads.index(head) for ours, head in price_list.columns.items()}
    for line, cells in enumerate(price_list.lines, 2):
        texts = {ours: cells[place] if place < len(cells) else "" for ours, place in places.items()}
        yield line, dict.fromkeys(LABELS, "") | texts
