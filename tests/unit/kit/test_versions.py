import threading
from typing import Any

import pytest
from django.db import connection

from catalogue.models import Trade
from fitout.kit.models import StaleVersion, User
from tests.factories.rows import make_trade


def test_saving_the_version_that_was_read_moves_it_on(owner: User) -> None:
    trade = make_trade()
    trade.name = "Masts"
    trade.save_if_version(1, by=owner)
    trade.refresh_from_db()
    assert (trade.name, trade.version, trade.changed_by) == ("Masts", 2, owner)
    assert trade.changed_at is not None


def test_saving_an_older_version_writes_nothing_and_shows_the_newer(owner: User) -> None:
    first, second = make_trade(), Trade.objects.get()
    first.name = "Masts"
    first.save_if_version(1, by=owner)
    second.name = "Sails"
    with pytest.raises(StaleVersion) as stale:
        second.save_if_version(1, by=owner)
    assert stale.value.current.name == "Masts"
    assert Trade.objects.get().name == "Masts"


def test_saving_what_was_removed_says_so(db: None) -> None:
    trade = make_trade()
    Trade.objects.all().delete()
    with pytest.raises(StaleVersion) as stale:
        trade.save_if_version(1)
    assert stale.value.current is None
    assert not Trade.objects.exists()


def test_of_many_writers_at_once_exactly_one_wins(own_database: Any) -> None:
    trade = make_trade()
    outcomes: list[str] = []

    def rename(name: str) -> None:
        try:
            mine = Trade.objects.get(pk=trade.pk)
            start.wait()
            mine.name = name
            mine.save_if_version(1)
            outcomes.append(name)
        except StaleVersion:
            outcomes.append("stale")
        finally:
            connection.close()

    start = threading.Barrier(4)
    threads = [threading.Thread(target=rename, args=(f"name {i}",)) for i in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert outcomes.count("stale") == 3
    stored = Trade.objects.get(pk=trade.pk)
    assert stored.version == 2
    assert stored.name in outcomes
