"""A form that arrives twice, one after the other or at once, is done once."""

from collections.abc import Callable

from django.test import Client
from django.urls import reverse

from fitout.kit.models import AuditEntry, Role, User
from tests.fixtures.database import OwnDatabase
from tests.fixtures.people import signed_in
from tests.reliability.together import together


def _person(username: str, *, once: str) -> dict[str, str]:
    return {
        "username": username,
        "display_name": "Somebody New",
        "role": Role.TECHNICIAN.value,
        "hours_per_day": "8",
        "is_active": "on",
        "new_password": "a long enough password",
        "once": once,
    }


def test_one_after_the_other(own_database: OwnDatabase, owner: User) -> None:
    client = signed_in(owner)
    url = reverse("kit:new_person")
    first = client.post(url, _person("ada", once="key-1"))
    again = client.post(url, _person("ada", once="key-1"))
    assert (first.status_code, again.status_code) == (303, 303)
    assert again.headers["Location"] == first.headers["Location"]
    assert User.objects.filter(username="ada").count() == 1


def test_at_the_same_moment(own_database: OwnDatabase, owner: User) -> None:
    url = reverse("kit:new_person")
    clients = [signed_in(owner) for _ in range(4)]
    for attempt in range(5):
        sent = _person(f"ada{attempt}", once=f"key-{attempt}")
        entries = AuditEntry.objects.count()
        answers = together(*(_post(client, url, sent) for client in clients))
        assert answers == [303] * 4
        assert User.objects.filter(username=f"ada{attempt}").count() == 1
        assert AuditEntry.objects.count() == entries + 1


def test_without_a_key_the_second_is_told_and_the_first_stands(
    own_database: OwnDatabase, owner: User
) -> None:
    url = reverse("kit:new_person")
    clients = [signed_in(owner) for _ in range(2)]
    answers = together(*(_post(client, url, _person("bea", once="")) for client in clients))
    assert sorted(answers) == [303, 422]
    assert User.objects.filter(username="bea").count() == 1


def _post(client: Client, url: str, sent: dict[str, str]) -> Callable[[], int]:
    return lambda: client.post(url, sent).status_code
