from typing import Any

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.http import HttpResponse
from django.test import Client
from django.urls import path

from fitout.kit import access


def open_view(request: Any) -> HttpResponse:
    return HttpResponse("open")


urlpatterns = [path("unlisted/", open_view, name="unlisted")]


@pytest.mark.urls("tests.web.kit.test_gate")
def test_a_url_without_a_row_in_the_registry_is_refused(owner_client: Client) -> None:
    with pytest.raises(ImproperlyConfigured, match=r"URL 'unlisted' \(/unlisted/\) has no row"):
        owner_client.get("/unlisted/")


def test_every_row_names_a_known_action() -> None:
    assert set(access.URL_ACTIONS.values()) <= set(access.RULES)


def test_a_forged_form_is_refused_in_words(owner: Any) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(owner)
    response = client.post("/sign-out/")
    assert response.status_code == 403
    assert "The form had gone out of date" in response.content.decode()


@pytest.mark.parametrize("path", ["/people/?q=%00", "/people/?q=a%00b", "/trail/?scope=%00"])
def test_null_characters_in_an_address_are_refused(owner_client: Client, path: str) -> None:
    assert owner_client.get(path).status_code == 400


@pytest.mark.parametrize("number", [2**31, 2**63, 10**40])
def test_numbers_beyond_any_row_are_not_found(owner_client: Client, number: int) -> None:
    assert owner_client.get(f"/people/{number}/").status_code == 404
    assert owner_client.get(f"/documents/{number}/").status_code == 404
    assert owner_client.post(f"/undo/{number}/").status_code == 404


def test_a_body_beyond_any_form_is_refused_before_it_is_read(owner_client: Client) -> None:
    response = owner_client.post(
        "/people/new/", b"", content_type="text/plain", CONTENT_LENGTH=str(41 * 1024 * 1024)
    )
    assert response.status_code == 413
    assert "40 MB at most" in response.content.decode()


def test_an_address_that_only_takes_forms_says_so_when_opened(owner_client: Client) -> None:
    opened = owner_client.get("/kits/1/items/new/", headers={"accept": "text/html"})
    assert (opened.status_code, opened.headers["Allow"]) == (405, "POST")
    assert "This address only takes what a form sends" in opened.content.decode()
    assert owner_client.get("/kits/1/items/new/").content == b""
