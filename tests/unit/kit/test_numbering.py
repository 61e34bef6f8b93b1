import threading
from typing import Any

import pytest
from django.db import connection, transaction

from fitout.kit.models import Counter
from fitout.kit.numbering import format_number, next_number, revision_letter


def test_numbers_of_a_series_follow_one_another(db: None) -> None:
    assert [next_number("quote") for _ in range(3)] == [1, 2, 3]
    assert next_number("order") == 1


def test_a_number_is_given_back_when_the_document_is_not_issued(db: None) -> None:
    next_number("quote")
    with transaction.atomic():
        assert next_number("quote") == 2
        transaction.set_rollback(True)
    assert next_number("quote") == 2


def test_a_number_outside_a_transaction_is_refused(own_database: Any) -> None:
    with pytest.raises(transaction.TransactionManagementError, match=r"next_number\('quote'\)"):
        next_number("quote")


def test_numbers_stay_gapless_when_many_issue_at_once(own_database: Any) -> None:
    given: list[int] = []

    def issue(each: int) -> None:
        try:
            for turn in range(5):
                with transaction.atomic():
                    number = next_number("order")
                    if (each + turn) % 3 == 0:
                        transaction.set_rollback(True)
                    else:
                        given.append(number)
        finally:
            connection.close()

    threads = [threading.Thread(target=issue, args=(each,)) for each in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(given) == list(range(1, len(given) + 1))
    assert Counter.objects.get(series="order").last == len(given) == 20


@pytest.mark.pure
@pytest.mark.parametrize(
    ("kind", "number", "revision", "text"),
    [
        ("job", 142, "", "J-0142"),
        ("quote", 142, "A", "Q-0142-A"),
        ("purchase_order", 1, "", "PO-00001"),
        ("goods_receipt", 1, "", "GR-00001"),
        ("work_order", 123456, "", "WO-123456"),
        ("handover_pack", 142, "B", "HP-0142-B"),
    ],
)
def test_numbers_are_written_as_on_paper(kind: str, number: int, revision: str, text: str) -> None:
    assert format_number(kind, number, revision) == text


@pytest.mark.pure
def test_revisions_go_on_after_z() -> None:
    assert [revision_letter(i) for i in (0, 1, 25, 26, 51, 52, 701, 702)] == [
        "A", "B", "Z", "AA", "AZ", "BA", "ZZ", "AAA",
    ]  # fmt: skip
    with pytest.raises(ValueError, match="revision index: -1 is below 0"):
        revision_letter(-1)
