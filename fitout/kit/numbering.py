"""Document numbers: gapless, given out inside the transaction that issues the document."""

from django.db import transaction
from django.db.models import F

from .models import Counter

FORMATS = {
    "job": "J-{number:04d}",
    "quote": "Q-{number:04d}-{revision}",
    "purchase_order": "PO-{number:05d}",
    "goods_receipt": "GR-{number:05d}",
    "work_order": "WO-{number:05d}",
    "handover_pack": "HP-{number:04d}-{revision}",
}


def next_number(series: str) -> int:
    """The next number of a series. The row stays locked until the caller commits.

    A caller that rolls back gives its number back, which is what makes it gapless; so
    it must run in the transaction that stores the numbered row.
    """
    if not transaction.get_connection().in_atomic_block:
        raise transaction.TransactionManagementError(
            f"next_number({series!r}) must run in the transaction that issues the document"
        )
    Counter.objects.get_or_create(series=series)
    Counter.objects.filter(series=series).update(last=F("last") + 1)
    return Counter.objects.get(series=series).last


def revision_letter(index: int) -> str:
    """A for 0, Z for 25, AA for 26."""
    if index < 0:
        raise ValueError(f"revision index: {index} is below 0")
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def format_number(kind: str, number: int, revision: str = "") -> str:
    return FORMATS[kind].format(number=number, revision=revision)
