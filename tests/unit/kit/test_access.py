from types import SimpleNamespace
from typing import Any

import pytest
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import ImproperlyConfigured, PermissionDenied

from fitout.kit import access
from fitout.kit.access import OFFICE, PUBLIC, Rule
from fitout.kit.roles import Role

pytestmark = pytest.mark.pure


@pytest.fixture(autouse=True)
def registry(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(access, "RULES", {})
    monkeypatch.setattr(access, "URL_ACTIONS", {})
    access.register(
        {"sheet.change": Rule(OFFICE, stages={"enquiry", "quoted"}), "door": PUBLIC},
        {"jobs:sheet": "sheet.change"},
    )


def person(role: str, *, is_active: bool = True) -> Any:
    return SimpleNamespace(role=role, is_active=is_active, sees_money=role != Role.TECHNICIAN)


@pytest.mark.parametrize(
    ("who", "stage", "allowed"),
    [
        (person(Role.OWNER), "quoted", True),
        (person(Role.ESTIMATOR), None, True),
        (person(Role.OWNER), "closed", False),
        (person(Role.TECHNICIAN), "quoted", False),
        (person(Role.OWNER, is_active=False), "quoted", False),
        (AnonymousUser(), "quoted", False),
    ],
)
def test_role_and_stage_decide_together(who: Any, stage: str | None, allowed: bool) -> None:
    assert access.can(who, "sheet.change", stage) is allowed
    if not allowed:
        with pytest.raises(PermissionDenied):
            access.require(who, "sheet.change", stage)


def test_a_public_action_is_open_to_all() -> None:
    assert access.can(AnonymousUser(), "door")


def test_an_action_nobody_listed_is_an_error_not_a_yes() -> None:
    with pytest.raises(KeyError):
        access.can(person(Role.OWNER), "sheet.burn")


def test_one_action_cannot_have_two_rules() -> None:
    with pytest.raises(ImproperlyConfigured, match=r"'door' has two different rules"):
        access.register({"door": Rule(OFFICE)}, {})


def test_a_url_needs_a_known_action() -> None:
    with pytest.raises(ImproperlyConfigured, match=r"'jobs:x' names unknown action 'nothing'"):
        access.register({}, {"jobs:x": "nothing"})


def test_money_is_for_the_office() -> None:
    assert access.sees_money(person(Role.OWNER))
    assert not access.sees_money(person(Role.TECHNICIAN))
    assert not access.sees_money(person(Role.OWNER, is_active=False))
    assert not access.sees_money(AnonymousUser())


def test_a_view_for_people_gets_the_person_or_refuses() -> None:
    request: Any = SimpleNamespace(user=SimpleNamespace(is_authenticated=True, name="x"))
    assert access.signed_in(request) is request.user
    request.user = AnonymousUser()
    with pytest.raises(PermissionDenied):
        access.signed_in(request)
