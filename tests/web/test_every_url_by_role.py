"""Every address, as every role and as nobody.

Found by walking the demo, so a new address is visited without being listed here. The registry
decides who may; the site has to agree.
"""

from collections.abc import Callable

import pytest
from django.test import Client

from fitout.kit.access import RULES, URL_ACTIONS
from tests.web.crawl import Walk, all_views

VIEWS = sorted(name for name, _ in all_views())
#: Addresses no walk of the demo can meet, each with its reason.
NOT_ON_A_WALK = {
    "electrical:together_use": "offered once a choice is found; tests/web/electrical asks it",
    "electrical:follow_sheet": "offered while devices lag behind; tests/web/electrical asks it",
    "handover:pack": "asked only while a pack is being made; tests/web/handover asks it",
    "kit:look": "only while developing; no page of the product links to it",
    "kit:look_part": "only while developing; no page of the product links to it",
}
ROLES = ("owner", "estimator", "technician")
ANSWERS_TO_SOMEBODY_ALLOWED = {200, 204, 302, 303, 304, 403, 404, 405, 422}


@pytest.mark.pure
def test_every_address_has_a_name_and_a_row_in_the_registry() -> None:
    without = [route for name, route in all_views() if name not in URL_ACTIONS]
    assert without == [], "give each a name in urls.py and a row in access.py"


@pytest.mark.pure
def test_every_row_of_the_registry_is_an_address_with_an_action() -> None:
    assert sorted(set(URL_ACTIONS) - set(VIEWS)) == []
    assert sorted(set(URL_ACTIONS.values()) - set(RULES)) == []


def test_no_page_links_to_nothing(walks: dict[str, Walk]) -> None:
    for role, walked in walks.items():
        assert walked.dead_links == [], role
        missing = [
            f"{visit.came_from} links to {visit.url}: {visit.status}"
            for visits in walked.visits.values()
            for visit in visits
            if visit.status >= 400 and visit.status != 405
        ]
        assert missing == [], role


@pytest.mark.parametrize("view", [view for view in VIEWS if view not in NOT_ON_A_WALK])
def test_every_address_is_met_on_a_walk(view: str, walks: dict[str, Walk]) -> None:
    assert _paths(view, walks), "no page links to it and no form is sent to it"


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("view", VIEWS)
def test_a_role_gets_what_the_registry_says(
    view: str, role: str, walks: dict[str, Walk], demo_client: Callable[[str], Client]
) -> None:
    client = demo_client(role)
    is_allowed = RULES[URL_ACTIONS[view]].allows(role, None)
    for path in _paths(view, walks):
        answer = client.get(path)
        if is_allowed:
            assert answer.status_code in ANSWERS_TO_SOMEBODY_ALLOWED, path
            assert not _asks_to_sign_in(answer.headers.get("Location", "")), path
        else:
            assert answer.status_code == 403, path
            assert client.post(path).status_code == 403, path


@pytest.mark.parametrize("view", VIEWS)
def test_nobody_gets_in_without_signing_in(
    view: str, walks: dict[str, Walk], demo_client: Callable[[str], Client]
) -> None:
    client = demo_client("anonymous")
    is_public = RULES[URL_ACTIONS[view]].public
    for path in _paths(view, walks):
        answer = client.get(path)
        if is_public:
            assert answer.status_code < 500, path
            continue
        assert answer.status_code == 302, path
        assert _asks_to_sign_in(answer.headers["Location"]), path
        assert client.post(path, {"name": "x"}).status_code == 401, path


def _paths(view: str, walks: dict[str, Walk]) -> list[str]:
    return sorted({path for walked in walks.values() for path in walked.addresses.get(view, ())})[
        :4
    ]


def _asks_to_sign_in(location: str) -> bool:
    return location.startswith("/sign-in/")
