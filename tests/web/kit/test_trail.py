from typing import Any

import pytest
from bs4 import BeautifulSoup
from django.contrib.messages import get_messages
from django.test import Client

from catalogue.models import Trade
from fitout.kit.audit import tracked
from fitout.kit.models import AuditEntry, User
from tests.factories.rows import make_trade

HTMX = {"HX-Request": "true"}


def rename(trade: Trade, name: str, by: User, scope: str = "job:142") -> AuditEntry:
    with tracked(actor=by, scope=scope, label=f"Name {name}") as change:
        change.watch(trade)
        trade.name = name
        trade.save()
    assert change.entry is not None
    return change.entry


def test_the_trail_tells_who_what_from_and_to(owner_client: Client, estimator: User) -> None:
    rename(make_trade(), "<i>Masts</i>", estimator)
    html = owner_client.get("/trail/").content.decode()
    assert estimator.display_name in html
    assert "from “Rigging” to “&lt;i&gt;Masts&lt;/i&gt;”" in html


def test_what_a_large_change_moved_is_folded_after_six_fields(
    owner_client: Client, owner: User
) -> None:
    trades = [make_trade(code=f"t{number}", name=f"Trade {number}") for number in range(8)]
    with tracked(actor=owner, scope="job:142", label="All renamed") as change:
        for trade in trades:
            change.watch(trade)
            trade.name = f"Renamed {trade.pk}"
            trade.save()
    soup = BeautifulSoup(owner_client.get("/trail/").content, "html.parser")
    fold = soup.select_one("#trail details")
    assert fold is not None
    assert fold.select_one("summary").get_text() == "2 more"  # type: ignore[union-attr]
    assert "Renamed" in fold.get_text()


def test_the_trail_of_one_job_holds_its_entries_only(owner_client: Client, owner: User) -> None:
    trade = make_trade()
    rename(trade, "Masts", owner, scope="job:142")
    rename(trade, "Sails", owner, scope="job:14")
    html = owner_client.get("/trail/?scope=job:14").content.decode()
    assert "Name Sails" in html
    assert "Name Masts" not in html


@pytest.mark.parametrize("query", ["?page=0", "?page=x", "?page=99", "?scope=" + "x" * 900])
def test_an_odd_address_is_answered(owner_client: Client, owner: User, query: str) -> None:
    rename(make_trade(), "Masts", owner)
    assert owner_client.get(f"/trail/{query}").status_code == 200


def test_a_fragment_comes_alone(owner_client: Client) -> None:
    response = owner_client.get("/trail/", headers={**HTMX, "HX-Target": "trail"})
    assert response.content.decode().strip().startswith('<div id="trail">')


def test_the_trail_asks_the_same_number_of_questions_for_many(
    owner_client: Client, owner: User, queries_of: Any
) -> None:
    trade = make_trade()
    rename(trade, "name", owner)
    few = queries_of(lambda: owner_client.get("/trail/"))
    for number in range(10):
        rename(trade, f"name {number}", owner)
    assert queries_of(lambda: owner_client.get("/trail/")) == few


class TestUndo:
    def test_undo_goes_back_to_the_page_it_was_pressed_on(
        self, owner_client: Client, owner: User
    ) -> None:
        entry = rename(make_trade(), "Masts", owner)
        response = owner_client.post(f"/undo/{entry.pk}/", {"next": "/trail/"})
        assert (response.status_code, response.headers["Location"]) == (303, "/trail/")
        assert Trade.objects.get().name == "Rigging"

    def test_a_fragment_page_is_told_what_to_load_again(
        self, owner_client: Client, owner: User
    ) -> None:
        entry = rename(make_trade(), "Masts", owner)
        response = owner_client.post(f"/undo/{entry.pk}/", headers=HTMX)
        assert response.status_code == 200
        assert response.headers["HX-Retarget"] == "#messages"
        assert "lines-changed" in response.headers["HX-Trigger"]
        assert "Undone: Name Masts" in response.content.decode()

    def test_what_cannot_be_undone_is_told_and_changes_nothing(
        self, owner_client: Client, owner: User
    ) -> None:
        trade = make_trade()
        entry = rename(trade, "Masts", owner)
        rename(trade, "Sails", owner)
        response = owner_client.post(f"/undo/{entry.pk}/", headers=HTMX)
        assert response.status_code == 409
        assert "was changed again since" in response.content.decode()
        assert "HX-Trigger" not in response.headers
        plain = owner_client.post(f"/undo/{entry.pk}/")
        assert plain.status_code == 303
        assert any("changed again" in str(m) for m in get_messages(plain.wsgi_request))
        assert Trade.objects.get().name == "Sails"

    def test_a_technician_undoes_only_their_own(
        self, technician_client: Client, technician: User, owner: User
    ) -> None:
        trade = make_trade()
        others = rename(trade, "Masts", owner)
        assert technician_client.post(f"/undo/{others.pk}/").status_code == 403
        own = rename(trade, "Sails", technician)
        assert technician_client.post(f"/undo/{own.pk}/").status_code == 303
        assert Trade.objects.get().name == "Masts"

    def test_the_estimator_undoes_anybodys(self, estimator_client: Client, owner: User) -> None:
        entry = rename(make_trade(), "Masts", owner)
        assert estimator_client.post(f"/undo/{entry.pk}/").status_code == 303

    def test_nobody_is_sent_elsewhere(self, owner_client: Client, owner: User) -> None:
        entry = rename(make_trade(), "Masts", owner)
        response = owner_client.post(
            f"/undo/{entry.pk}/", {"next": "https://elsewhere.example.org/"}
        )
        assert response.headers["Location"] == "/"
