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
