"""Two people change the same row: nobody's change is lost without a word."""

from collections.abc import Callable

from bs4 import BeautifulSoup
from django.test import Client
from django.urls import reverse

from fitout.kit.models import AuditEntry, User
from tests.factories.people import make_user
from tests.fixtures.database import OwnDatabase
from tests.fixtures.people import signed_in
from tests.reliability.together import together


def _opened(client: Client, url: str) -> dict[str, str]:
    """The form as a browser would send it back."""
    soup = BeautifulSoup(client.get(url).content, "html.parser")
    form = next(f for f in soup.find_all("form") if f.select_one("[name=display_name]"))
    sent = {
        str(field["name"]): str(field.get("value") or "on")
        for field in form.select("input[name]")
        if field.get("type") != "checkbox" or field.has_attr("checked")
    }
    chosen = form.select_one("select[name=role] option[selected]")
    assert chosen is not None
    return sent | {"role": str(chosen["value"]), "new_password": "", "email": "", "phone": ""}


def _post(client: Client, url: str, sent: dict[str, str]) -> Callable[[], int]:
    return lambda: client.post(url, sent).status_code


def test_the_second_is_shown_both_values_and_changes_nothing(
    own_database: OwnDatabase, owner: User
) -> None:
    person = make_user(display_name="Before")
    url = reverse("kit:person", args=[person.pk])
    first, second = signed_in(owner), signed_in(owner)
    opened_by_first, opened_by_second = _opened(first, url), _opened(second, url)

    assert _post(first, url, opened_by_first | {"display_name": "Of the first"})() == 303
    answer = second.post(url, opened_by_second | {"display_name": "Of the second"})

    assert answer.status_code == 409
    page = answer.content.decode()
    assert "stored now is “Of the first”" in page
    assert 'value="Of the second"' in page
    assert User.objects.get(pk=person.pk).display_name == "Of the first"


def test_the_second_may_save_after_having_seen_the_first(
    own_database: OwnDatabase, owner: User
) -> None:
    person = make_user(display_name="Before")
    url = reverse("kit:person", args=[person.pk])
    client = signed_in(owner)
    opened = _opened(client, url)
    _post(client, url, opened | {"display_name": "Of the first", "once": "1"})()
    shown = client.post(url, opened | {"display_name": "Of the second", "once": "2"})
    soup = BeautifulSoup(shown.content, "html.parser")
    version = str(soup.select("input[name=version]")[0]["value"])

    sent = opened | {"display_name": "Of the second", "version": version, "once": "3"}
    assert _post(client, url, sent)() == 303
    assert User.objects.get(pk=person.pk).display_name == "Of the second"


def test_of_two_at_the_same_moment_exactly_one_is_saved(
    own_database: OwnDatabase, owner: User
) -> None:
    person = make_user(display_name="Before")
    url = reverse("kit:person", args=[person.pk])
    clients = [signed_in(owner) for _ in range(3)]
    for attempt in range(4):
        opened = _opened(clients[0], url)
        entries = AuditEntry.objects.count()
        names = [f"Of {attempt} {number}" for number in range(3)]
        answers = together(
            *(
                _post(client, url, opened | {"display_name": name, "once": name})
                for client, name in zip(clients, names, strict=True)
            )
        )
        assert answers.count(303) == 1
        assert set(answers) <= {303, 409, 422}
        saved = names[answers.index(303)]
        assert User.objects.get(pk=person.pk).display_name == saved
        assert AuditEntry.objects.count() == entries + 1
