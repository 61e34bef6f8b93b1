from types import SimpleNamespace

import pytest

from fitout.kit import navigation
from fitout.kit.roles import Role


def person(role: str) -> SimpleNamespace:
    return SimpleNamespace(role=role, is_active=True)


def words(role: str, path: str = "/") -> list[str]:
    return [place.word for place in navigation.register_for(person(role), path)]


def test_only_the_owner_sees_people() -> None:
    assert "People" in words(Role.OWNER)
    assert "People" not in words(Role.ESTIMATOR)
    assert "People" not in words(Role.TECHNICIAN)


def test_nobody_sees_places_without_an_address() -> None:
    assert not navigation.may_open(person(Role.OWNER), "/no/such/place/")


def test_visitor_sees_no_places() -> None:
    visitor = SimpleNamespace(is_active=False)
    assert navigation.register_for(visitor, "/") == []


@pytest.mark.parametrize(
    ("path", "current"), [("/people/", True), ("/people/3/", True), ("/parts/", False)]
)
def test_place_is_marked_while_somebody_is_in_it(path: str, current: bool) -> None:
    places = {place.word: place for place in navigation.register_for(person(Role.OWNER), path)}
    assert places["People"].current is current


def test_job_views_have_different_letters_that_no_other_key_takes() -> None:
    letters = [view.key for view in navigation.JOB_VIEWS]
    assert len(set(letters)) == len(letters)
    assert not set(letters) & set("ACKNUZ")
