import re
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client

from fitout.kit.models import User
from tests.factories.people import PASSWORD


def sign_in(client: Client, username: str, password: str = PASSWORD, **more: str) -> Any:
    return client.post("/sign-in/", {"username": username, "password": password, **more})


def test_name_and_password_open_the_door(client: Client, owner: User) -> None:
    response = sign_in(client, owner.username, next="/people/")
    assert (response.status_code, response.headers["Location"]) == (303, "/people/")
    assert client.get("/people/").status_code == 200


@pytest.mark.parametrize(
    "then", ["https://elsewhere.example.org/", "//elsewhere.example.org", "javascript:alert(1)"]
)
def test_nobody_is_sent_elsewhere_after_signing_in(client: Client, owner: User, then: str) -> None:
    assert sign_in(client, owner.username, next=then).headers["Location"] == "/"


@pytest.mark.parametrize(
    ("username", "password", "message"),
    [
        ("nobody", "x", "do not match"),
        ("{owner}", "wrong", "do not match"),
        ("", "x", "Sign-in name: fill this in."),
        ("{owner}", "", "Password: fill this in."),
        ("a\x00b", "x", "Sign-in name: holds a control character (U+0000)"),
        ("x" * 61, "x", "Sign-in name: 60 characters at most, not 61."),
        ("{owner}", "x" * 201, "Password: 200 characters at most, not 201."),
    ],
)
def test_a_wrong_entry_keeps_the_name_and_tells_why(
    client: Client, owner: User, username: str, password: str, message: str
) -> None:
    typed = username.format(owner=owner.username)
    response = sign_in(client, typed, password)
    assert response.status_code == 422
    html = response.content.decode()
    assert message in html
    assert f'value="{typed}"' in html or "\x00" in typed or not typed
    assert client.session.get("_auth_user_id") is None


def test_capitals_in_the_name_make_no_difference(client: Client, owner: User) -> None:
    assert sign_in(client, owner.username.upper()).status_code == 303


def test_somebody_who_left_cannot_sign_in(client: Client, owner: User, estimator: User) -> None:
    estimator.is_active = False
    estimator.save()
    assert sign_in(client, estimator.username).status_code == 422


def test_too_many_tries_are_stopped_for_that_name_only(
    client: Client, owner: User, estimator: User, frozen_clock: Any
) -> None:
    for _ in range(7):
        assert sign_in(client, owner.username, "wrong").status_code == 422
    stopped = sign_in(client, owner.username, "wrong")
    assert stopped.status_code == 429
    assert stopped.headers["Retry-After"] == "900"
    assert "Wait 15 minutes" in stopped.content.decode()
    assert sign_in(client, owner.username).status_code == 429
    assert sign_in(Client(), estimator.username).status_code == 303
    frozen_clock.shift(timedelta(minutes=16))
    assert sign_in(client, owner.username).status_code == 303


def test_a_right_password_starts_the_count_again(client: Client, owner: User) -> None:
    for _ in range(2):
        for _ in range(6):
            sign_in(client, owner.username, "wrong")
        assert sign_in(client, owner.username).status_code == 303
        client.logout()


def test_signing_in_is_not_remembered_as_a_form_sent_twice(client: Client, owner: User) -> None:
    sign_in(client, owner.username, once="k1")
    client.post("/sign-out/")
    assert sign_in(client, owner.username, "wrong", once="k1").status_code == 422


def test_signing_out_ends_the_session(owner_client: Client) -> None:
    response = owner_client.post("/sign-out/")
    assert response.headers["Location"] == "/sign-in/"
    assert owner_client.get("/people/").headers["Location"].startswith("/sign-in/")


def test_a_link_alone_signs_nobody_out(owner_client: Client) -> None:
    assert owner_client.get("/sign-out/").status_code == 405
    assert owner_client.get("/people/").status_code == 200


def test_the_page_allows_no_script_but_our_own(client: Client, db: None) -> None:
    response = client.get("/sign-in/")
    policy = response.headers["Content-Security-Policy"]
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    assert rules["default-src"] == "'none'"
    assert rules["script-src"] == rules["style-src"] == "'self'"
    assert rules["frame-ancestors"] == rules["base-uri"] == rules["object-src"] == "'none'"
    assert "unsafe" not in policy
    html = response.content.decode()
    assert not re.search(r"<script(?![^>]*\ssrc=)|<style|\sstyle=|\son\w+=", html)


def test_pages_behind_the_door_are_not_kept_by_caches(owner_client: Client) -> None:
    assert owner_client.get("/people/").headers["Cache-Control"] == "private, no-store"


class TestChangePassword:
    new = "anchor-chain-locker"

    def change(self, client: Client, **typed: str) -> Any:
        given = {"old_password": PASSWORD, "new_password": self.new, "again": self.new}
        return client.post("/password/", {**given, **typed})

    def test_the_new_password_works_and_the_session_lives_on(
        self, owner_client: Client, owner: User
    ) -> None:
        assert self.change(owner_client).status_code == 303
        assert owner_client.get("/people/").status_code == 200
        owner.refresh_from_db()
        assert owner.check_password(self.new)

    @pytest.mark.parametrize(
        ("typed", "message"),
        [
            ({"old_password": "wrong"}, "Password now: this is not your password."),
            ({"again": "other"}, "New password again: differs from the new password."),
            ({"new_password": "short"}, "New password: This password is too short."),
            ({"new_password": "1234567890123"}, "New password: This password is entirely numeric."),
            ({"new_password": "password123"}, "New password: This password is too common."),
            ({"new_password": ""}, "New password: fill this in."),
        ],
    )
    def test_a_poor_password_is_refused(
        self, owner_client: Client, owner: User, typed: dict[str, str], message: str
    ) -> None:
        response = self.change(owner_client, **typed)
        assert response.status_code == 422
        assert message in response.content.decode()
        owner.refresh_from_db()
        assert owner.check_password(PASSWORD)
