import json
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import RequestFactory, override_settings
from django_htmx.middleware import HtmxDetails

from fitout.kit import pages

pytestmark = pytest.mark.pure

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "OPTIONS": {
            "loaders": [
                (
                    "django.template.loaders.locmem.Loader",
                    {"page.html": "page {{ word }}", "_lines.html": "lines {{ word }}"},
                )
            ]
        },
    }
]


def request(**headers: str) -> Any:
    made: Any = RequestFactory().get("/", headers=headers)
    made.htmx = HtmxDetails(made)
    return made


@pytest.mark.parametrize(
    ("headers", "content"),
    [
        ({}, "page x"),
        ({"HX-Request": "true", "HX-Target": "lines"}, "lines x"),
        ({"HX-Request": "true", "HX-Target": "other"}, "page x"),
        ({"HX-Request": "true"}, "page x"),
        ({"HX-Request": "true", "HX-Target": "lines", "HX-Boosted": "true"}, "page x"),
        (
            {"HX-Request": "true", "HX-Target": "lines", "HX-History-Restore-Request": "true"},
            "page x",
        ),
        ({"HX-Target": "lines"}, "page x"),
    ],
)
@override_settings(TEMPLATES=TEMPLATES)
def test_only_a_fragment_asked_for_by_name_comes_alone(
    headers: dict[str, str], content: str
) -> None:
    fragments = {"lines": "_lines.html"}
    response = pages.render(request(**headers), "page.html", {"word": "x"}, fragments=fragments)
    assert response.content.decode() == content
    assert set(response.headers["Vary"].split(", ")) == set(pages.VARY)


def test_events_add_up() -> None:
    response = pages.changed(HttpResponse(), "lines-changed")
    pages.changed(response, "circuits-changed", "lines-changed")
    assert json.loads(response.headers["HX-Trigger"]) == {
        "lines-changed": True,
        "circuits-changed": True,
    }


@pytest.mark.parametrize(
    ("headers", "status", "header"),
    [
        ({}, 303, "Location"),
        ({"HX-Request": "true"}, 204, "HX-Redirect"),
        ({"HX-Request": "true", "HX-Boosted": "true"}, 303, "Location"),
    ],
)
def test_going_to_another_page_is_told_to_htmx_in_its_own_way(
    headers: dict[str, str], status: int, header: str
) -> None:
    def view(_: Any) -> HttpResponse:
        response = pages.back_to("/jobs/142/")
        response.set_cookie("kept", "yes")
        return response

    response = pages.PagesMiddleware(view)(request(**headers))
    assert response.status_code == status
    assert response.headers[header] == "/jobs/142/"
    assert response.cookies["kept"].value == "yes"
