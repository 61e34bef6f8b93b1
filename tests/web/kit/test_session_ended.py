"""A session that ends while somebody is typing loses nothing of what was typed."""

from html import unescape
from typing import Any

from bs4 import BeautifulSoup
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from fitout.kit.models import User
from tests.factories.people import PASSWORD

TYPED = {
    "display_name": 'Ana "Rope" <b>Marsh</b>',
    "username": "ana",
    "role": "technician",
    "hours_per_day": "7,5",
    "email": "",
    "phone": "line one",
    "is_active": "on",
    "once": "k1",
}


def held_in(response: Any) -> str:
    field = BeautifulSoup(response.content, "html.parser").find("input", {"name": "held"})
    assert field is not None
    return str(field["value"])


def kept_fields(response: Any) -> dict[str, str]:
    areas = BeautifulSoup(response.content, "html.parser").select("form textarea[hidden]")
    return {str(area["name"]): unescape(area.text.lstrip("\n")) for area in areas}


def test_what_was_typed_comes_back_after_signing_in(client: Client, owner: User) -> None:
    ended = client.post("/people/new/", {**TYPED, "new_password": "secret-harbour-9"})
    assert ended.status_code == 401
    assert "What you typed is kept" in ended.content.decode()
    assert b"secret-harbour-9" not in ended.content
    page = client.post(
        "/sign-in/",
        {"username": owner.username, "password": PASSWORD, "held": held_in(ended)},
    )
    assert page.status_code == 200
    assert kept_fields(page) == TYPED
    assert 'action="/people/new/"' in page.content.decode()
    assert b"<b>Marsh" not in page.content
    sent = client.post("/people/new/", {**kept_fields(page), "new_password": "mast-step-heel"})
    assert sent.status_code == 303
    assert User.objects.get(username="ana").display_name == TYPED["display_name"]


def test_a_wrong_password_in_between_keeps_it_too(client: Client, owner: User) -> None:
    held = held_in(client.post("/people/new/", TYPED))
    again = client.post("/sign-in/", {"username": owner.username, "password": "x", "held": held})
    assert again.status_code == 422
    assert held_in(again) == held


def test_a_fragment_form_stays_on_its_page(client: Client, db: None) -> None:
    ended = client.post("/people/new/", TYPED, headers={"HX-Request": "true"})
    assert (ended.status_code, ended.content) == (401, b"")
    assert "HX-Redirect" not in ended.headers


def test_a_fragment_asked_for_leads_to_the_page_around_it(client: Client, db: None) -> None:
    headers = {"HX-Request": "true", "HX-Current-URL": "http://testserver/trail/"}
    ended = client.get("/people/", headers=headers)
    assert ended.headers["HX-Redirect"] == "/sign-in/?next=%2Ftrail%2F"


def test_a_changed_packet_is_not_opened(client: Client, owner: User) -> None:
    held = held_in(client.post("/people/new/", TYPED))
    page = client.post(
        "/sign-in/",
        {"username": owner.username, "password": PASSWORD, "held": held[:-2] + "xx"},
    )
    assert page.status_code == 303


def test_files_are_not_kept_and_it_is_said(client: Client, owner: User) -> None:
    ended = client.post("/people/new/", {**TYPED, "photo": SimpleUploadedFile("a.jpg", b"x")})
    page = client.post(
        "/sign-in/", {"username": owner.username, "password": PASSWORD, "held": held_in(ended)}
    )
    assert "Choose them again" in page.content.decode()


def test_very_long_entries_are_not_carried_through_the_page(client: Client, db: None) -> None:
    import random

    noise = "".join(random.choices("abcdefghijklmnopqrstuvwxyz0123456789", k=900_000))
    ended = client.post("/people/new/", {"note": noise})
    assert ended.status_code == 401
    assert len(ended.content) < 50_000


def stale_post(owner: User, **headers: str) -> Any:
    """A form whose token is from before the last sign-in."""
    client = Client(enforce_csrf_checks=True)
    client.force_login(owner)
    client.get("/people/new/")
    typed = {**TYPED, "csrfmiddlewaretoken": "x" * 64}
    return client.post("/people/new/", typed, headers=headers)


def test_a_form_from_before_signing_in_again_can_be_sent_on(owner: User) -> None:
    page = stale_post(owner, Origin="http://testserver")
    assert page.status_code == 403
    assert kept_fields(page) == TYPED
    assert "You signed in again since" in page.content.decode()
    assert not User.objects.filter(username="ana").exists()


def test_a_form_from_elsewhere_is_refused_and_not_offered_again(owner: User) -> None:
    for headers in ({"Origin": "https://elsewhere.example.org"}, {"Origin": "null"}, {}):
        page = stale_post(owner, **headers)
        assert page.status_code == 403
        assert kept_fields(page) == {}
        assert "The form had gone out of date" in page.content.decode()
