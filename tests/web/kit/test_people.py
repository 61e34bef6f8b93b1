import threading
from typing import Any

import pytest
from bs4 import BeautifulSoup
from django.db import connection
from django.test import Client

from fitout.kit.models import AuditEntry, Role, User
from tests.factories.people import PASSWORD, make_user

TYPED = {
    "display_name": "Ana Marsh",
    "username": "ana",
    "role": "technician",
    "hours_per_day": "7,5",
    "email": "ana@example.org",
    "phone": "",
    "is_active": "on",
    "new_password": "mast-step-heel",
}


def typed_for(person: User, **changes: str) -> dict[str, str]:
    given = {
        "display_name": person.display_name,
        "username": person.username,
        "role": person.role,
        "hours_per_day": "8",
        "email": "",
        "phone": "",
        "is_active": "on",
        "new_password": "",
        "version": str(person.version),
    }
    return {name: value for name, value in {**given, **changes}.items() if value != "absent"}


def problems(response: Any) -> list[str]:
    page = BeautifulSoup(response.content, "html.parser")
    return [item.get_text(strip=True) for item in page.select(".errorlist li, .problem p")]


def test_the_owner_adds_a_person_who_can_sign_in(owner_client: Client, owner: User) -> None:
    response = owner_client.post("/people/new/", TYPED)
    assert response.headers["Location"] == "/people/"
    ana = User.objects.get(username="ana")
    assert (str(ana.hours_per_day), ana.role, ana.changed_by) == ("7.50", "technician", owner)
    assert ana.check_password("mast-step-heel")
    assert "Ana Marsh is saved." in owner_client.get("/people/").content.decode()
    entry = AuditEntry.objects.get()
    assert (entry.label, entry.scope) == ("Added Ana Marsh", "people")


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"display_name": ""}, "Name: fill this in."),
        ({"display_name": "x" * 81}, "Name: 80 characters at most, not 81."),
        ({"username": "an a"}, "Sign-in name: letters, digits, dots"),
        ({"username": "TAKEN"}, "Sign-in name: somebody already has this one."),
        ({"role": "captain"}, "Role: choose one from the list."),
        ({"hours_per_day": "25"}, "Hours per day: 24\u00a0h at most."),
        ({"hours_per_day": "-1"}, "Hours per day: 0\u00a0h at least."),
        ({"email": "ana"}, "Email: write an address such as name@example.org."),
        ({"new_password": ""}, "Password: fill this in."),
        ({"new_password": "short"}, "Password: This password is too short."),
    ],
)
def test_a_wrong_entry_is_told_at_its_field_and_nothing_is_lost(
    owner_client: Client, changes: dict[str, str], message: str
) -> None:
    make_user(username="taken")
    before = User.objects.count()
    response = owner_client.post("/people/new/", {**TYPED, **changes})
    assert response.status_code == 422
    assert any(found.startswith(message) for found in problems(response)), problems(response)
    assert User.objects.count() == before
    if "phone" not in changes and changes.get("email", "x"):
        assert 'value="7,5"' in response.content.decode() or "hours_per_day" in changes


def test_leaving_the_password_empty_keeps_it(owner_client: Client, technician: User) -> None:
    response = owner_client.post(
        f"/people/{technician.pk}/", typed_for(technician, display_name="Inka")
    )
    assert response.status_code == 303
    technician.refresh_from_db()
    assert technician.display_name == "Inka"
    assert technician.check_password(PASSWORD)


def test_a_new_password_from_the_owner_works(owner_client: Client, technician: User) -> None:
    owner_client.post(
        f"/people/{technician.pk}/", typed_for(technician, new_password="boom-vang-kicker")
    )
    technician.refresh_from_db()
    assert technician.check_password("boom-vang-kicker")


def test_somebody_who_may_not_sign_in_any_more_is_out_at_once(
    owner_client: Client, technician: User, technician_client: Client
) -> None:
    assert technician_client.get("/password/").status_code == 200
    owner_client.post(f"/people/{technician.pk}/", typed_for(technician, is_active="absent"))
    assert technician_client.get("/password/").headers["Location"].startswith("/sign-in/")


@pytest.mark.parametrize(
    ("changes", "field"),
    [({"is_active": "absent"}, "May sign in"), ({"role": "estimator"}, "Role")],
)
def test_the_last_owner_stays_owner(
    owner_client: Client, owner: User, changes: dict[str, str], field: str
) -> None:
    make_user(role=Role.OWNER, is_active=False)
    response = owner_client.post(f"/people/{owner.pk}/", typed_for(owner, **changes))
    assert response.status_code == 422
    assert f"{field}: This is the last owner who may sign in; make somebody else owner first." in (
        problems(response)
    )
    owner.refresh_from_db()
    assert owner.is_active
    assert owner.is_owner


def test_an_owner_may_leave_when_there_is_another(owner_client: Client, owner: User) -> None:
    other = make_user(role=Role.OWNER)
    response = owner_client.post(f"/people/{other.pk}/", typed_for(other, is_active="absent"))
    assert response.status_code == 303


def test_a_stale_form_shows_both_and_can_be_sent_again(
    owner_client: Client, owner: User, technician: User
) -> None:
    typed = typed_for(technician, display_name="Typed name")
    owner_client.post(f"/people/{technician.pk}/", typed_for(technician, display_name="Stored"))
    response = owner_client.post(f"/people/{technician.pk}/", typed)
    assert response.status_code == 409
    html = response.content.decode()
    assert 'value="Typed name"' in html
    assert "Name: stored now is “Stored”." in problems(response)
    assert any(p.startswith(f"{owner.display_name} changed this") for p in problems(response))
    page = BeautifulSoup(response.content, "html.parser")
    version = page.find("input", {"name": "version"})
    assert version is not None
    again = owner_client.post(
        f"/people/{technician.pk}/", {**typed, "version": str(version["value"])}
    )
    assert again.status_code == 303
    technician.refresh_from_db()
    assert technician.display_name == "Typed name"


def test_the_same_person_sent_twice_is_added_once(owner_client: Client) -> None:
    first = owner_client.post("/people/new/", {**TYPED, "once": "k1"})
    second = owner_client.post("/people/new/", {**TYPED, "once": "k1"})
    assert (first.status_code, second.status_code) == (303, 303)
    assert User.objects.filter(username="ana").count() == 1


def test_names_are_shown_as_text(owner_client: Client) -> None:
    make_user(display_name="<script>alert(1)</script>")
    html = owner_client.get("/people/").content.decode()
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in html
    assert "<script>alert(1)" not in html


@pytest.mark.parametrize("path", ["/people/", "/people/new/", "/trail/"])
def test_people_and_trail_are_for_the_owner(
    path: str, owner_client: Client, estimator_client: Client, technician_client: Client
) -> None:
    assert owner_client.get(path).status_code == 200
    assert estimator_client.get(path).status_code == 403
    assert technician_client.get(path).status_code == 403
    assert Client().get(path).headers["Location"].startswith("/sign-in/?next=")


def test_the_list_asks_the_same_number_of_questions_for_many(
    owner_client: Client, queries_of: Any
) -> None:
    few = queries_of(lambda: owner_client.get("/people/"))
    for _ in range(10):
        make_user()
    assert queries_of(lambda: owner_client.get("/people/")) == few


def test_nobody_of_that_number_is_a_plain_404(owner_client: Client) -> None:
    assert owner_client.get("/people/99999999/").status_code == 404


def test_two_owners_cannot_shut_each_other_out_at_the_same_moment(own_database: Any) -> None:
    pair = [make_user(role=Role.OWNER), make_user(role=Role.OWNER)]
    start = threading.Barrier(2)
    answers: list[int] = []

    def shut_out(by: User, other: User) -> None:
        try:
            client = Client()
            client.force_login(by, backend="django.contrib.auth.backends.ModelBackend")
            start.wait(20)
            typed = typed_for(other, is_active="absent")
            answers.append(client.post(f"/people/{other.pk}/", typed).status_code)
        finally:
            connection.close()

    threads = [threading.Thread(target=shut_out, args=each) for each in (pair, pair[::-1])]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert User.objects.owners().count() == 1
    assert 303 in answers
