"""Bad values into every form the site shows, in every field.

Found by walking the demo. No value makes the site fail; what is refused is refused at its field,
by a message that names it, keeps what was typed and leaves the database as it was.
"""

from __future__ import annotations

import traceback
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

import pytest
from bs4 import BeautifulSoup
from django.conf import settings
from django.db import connection, reset_queries, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.web.bad_values import (
    MARKUP,
    MARKUP_UNESCAPED,
    Case,
    Value,
    cases,
    filled,
    pattern_of,
    sent_with,
    stale,
)
from tests.web.crawl import Form, Walk, all_views

if TYPE_CHECKING:
    from django.test.client import _MonkeyPatchedWSGIResponse as Answer

VIEWS = sorted(name for name, _ in all_views())
REFUSALS = {400, 403, 404, 409, 413, 422, 429}
MESSAGES = ".errorlist li, .problem p, [role=alert]"
NOT_OF_THE_FORM = ("django_session", "axes_")
# Fields that another field decides about: a value that is not looked at is not refused.
NOT_LOOKED_AT: set[tuple[str, str]] = set()


def test_the_walk_finds_the_forms(walks: dict[str, Walk]) -> None:
    assert sum(len(walked.forms) for walked in walks.values()) > 20


def views_of(*apps: str) -> list[str]:
    return [view for view in VIEWS if view.partition(":")[0] in apps]


# Classes, since test processes share a module out by class.
class TestWiring:
    @pytest.mark.parametrize("view", views_of("electrical"))
    def test_no_value_makes_it_fail(
        self, view: str, walks: dict[str, Walk], demo_client: Callable[[str], Client]
    ) -> None:
        no_value_fails(view, walks, demo_client)


class TestCatalogue:
    @pytest.mark.parametrize("view", views_of("catalogue"))
    def test_no_value_makes_it_fail(
        self, view: str, walks: dict[str, Walk], demo_client: Callable[[str], Client]
    ) -> None:
        no_value_fails(view, walks, demo_client)


class TestEverythingElse:
    @pytest.mark.parametrize("view", sorted({*VIEWS} - {*views_of("catalogue", "electrical")}))
    def test_no_value_makes_it_fail(
        self, view: str, walks: dict[str, Walk], demo_client: Callable[[str], Client]
    ) -> None:
        no_value_fails(view, walks, demo_client)


def no_value_fails(view: str, walks: dict[str, Walk], demo_client: Callable[[str], Client]) -> None:
    wrong: list[str] = []
    for met_by, form in _forms(view, walks):
        role = "anonymous" if met_by == "customer" else met_by
        client = demo_client(role)
        session = client.cookies.get(settings.SESSION_COOKIE_NAME)
        for case in [*cases(form), *filter(None, [stale(form)])]:
            if client.cookies.get(settings.SESSION_COOKIE_NAME) != session:
                client = demo_client(role)
                session = client.cookies.get(settings.SESSION_COOKIE_NAME)
            name = f"{form.page} → {form.action}, {case.field.name} {case.what}"
            wrong += [f"{name}: {what}" for what in _what_is_wrong(client, form, case)]
    assert wrong == [], f"{len(wrong)} wrong:\n" + "\n".join(wrong)


def _what_is_wrong(client: Client, form: Form, case: Case) -> Iterator[str]:
    reset_queries()
    with transaction.atomic(), CaptureQueriesContext(connection) as asked:
        answer = client.post(form.action, sent_with(form, case))
        written = lasting_writes([query["sql"] for query in asked.captured_queries])
        if MARKUP in case.values:
            yield from _unescaped(client, answer)
        else:
            yield from _failed(answer)
        if answer.status_code in REFUSALS:
            yield from (f"refused, but wrote: {statement}" for statement in written)
            yield from _badly_refused(answer, case)
        elif answer.status_code < 400:
            connection.check_constraints()
            if case.must_refuse and (form.view_name, case.field.name) not in NOT_LOOKED_AT:
                yield f"taken ({answer.status_code})"
        else:
            yield f"answered {answer.status_code}"
        transaction.set_rollback(True)


def _failed(answer: Answer) -> Iterator[str]:
    if answer.status_code >= 500:
        trouble = getattr(answer, "exc_info", None)
        last = traceback.format_exception(*trouble)[-1].strip() if trouble else "no exception"
        where = traceback.extract_tb(trouble[2])[-1] if trouble else ""
        yield f"failed: {last} at {where}"


def _unescaped(client: Client, answer: Answer) -> Iterator[str]:
    pages = [answer]
    if answer.status_code in (302, 303):
        pages.append(client.get(answer.headers["Location"]))
    for page in pages:
        yield from _failed(page)
        if page.headers.get("Content-Type", "").startswith("text/html"):
            text = page.content.decode()
            yield from (f"unescaped {mark}" for mark in MARKUP_UNESCAPED if mark in text)


def _badly_refused(answer: Answer, case: Case) -> Iterator[str]:
    if answer.status_code != 422 or not case.must_refuse or not case.field.label:
        return
    soup = BeautifulSoup(answer.content.decode(), "html.parser")
    messages = [" ".join(one.get_text(" ").split()) for one in soup.select(MESSAGES)]
    label = case.field.label.lower()
    named = [message.partition(":")[0].lower() for message in messages if ":" in message]
    if not any(name in label or label in name for name in named):
        yield f"refused without naming {case.field.label!r}: {messages}"
    if case.is_kept and str(case.values[0]) not in answer.content.decode():
        yield "refused, and what was typed is gone"


def lasting_writes(statements: list[str]) -> list[str]:
    """The statements that changed rows and were not rolled back."""
    kept: list[str] = []
    opened: dict[str, int] = {}
    for statement in statements:
        words = statement.replace('"', "").split()
        if words[:1] == ["SAVEPOINT"]:
            opened[words[1]] = len(kept)
        elif words[:3] == ["ROLLBACK", "TO", "SAVEPOINT"]:
            del kept[opened[words[3]] :]
        elif words[:1] in (["INSERT"], ["UPDATE"], ["DELETE"]):
            table = words[1] if words[0] == "UPDATE" else words[2]
            if not table.startswith(NOT_OF_THE_FORM):
                kept.append(statement[:200])
    return kept


@pytest.mark.pure
def test_writes_that_were_rolled_back_do_not_count() -> None:
    assert lasting_writes(
        [
            'SAVEPOINT "a"',
            'INSERT INTO "jobs_line" VALUES (1)',
            'SAVEPOINT "b"',
            'UPDATE "jobs_line" SET x = 1',
            'ROLLBACK TO SAVEPOINT "b"',
            'RELEASE SAVEPOINT "a"',
            'INSERT INTO "django_session" VALUES (1)',
            'SELECT 1 FROM "jobs_line"',
        ]
    ) == ['INSERT INTO "jobs_line" VALUES (1)']


def _forms(view: str, walks: dict[str, Walk]) -> list[tuple[str, Form]]:
    """Each form once, as the first role that met it; of forms that differ only in the row
    they are about, such as those of a test sheet, the first."""
    found: dict[frozenset[str], tuple[str, Form]] = {}
    for role, walked in walks.items():
        for key, form in walked.forms.items():
            if key[0] == view:
                alike = frozenset(pattern_of(name) for name in key[1])
                found.setdefault(alike, (role, form))
    if not found:
        pytest.skip("no form is sent there")
    return list(found.values())


def test_what_a_careful_person_sends_is_taken_by_most(
    walks: dict[str, Walk], demo_client: Callable[[str], Client]
) -> None:
    """Otherwise the bad values above would be refused for the wrong reason."""
    taken, refused = 0, []
    for role in ("owner", "technician"):
        for form in walks[role].forms.values():
            values: dict[str, list[Value]] = filled(form)
            with transaction.atomic():
                answer = demo_client(role).post(form.action, values)
                transaction.set_rollback(True)
            taken += answer.status_code < 400
            if answer.status_code >= 400:
                refused.append(f"{form.action}: {answer.status_code}")
    assert taken > len(refused), refused
