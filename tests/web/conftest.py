"""The site as each role meets it, walked once per session on the demo."""

from collections.abc import Callable

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoDbBlocker

from fitout.bootstrap.demo import PEOPLE
from fitout.kit.models import User
from tests.fixtures.database import connected_to
from tests.web.crawl import Walk, walk

USERNAMES = {role: username for role, username, _ in PEOPLE}
STARTS = {"owner": ("/",), "estimator": ("/",), "technician": ("/", "/work/")}


@pytest.fixture(scope="session")
def walks(demo_database: str, django_db_blocker: DjangoDbBlocker) -> dict[str, Walk]:
    with django_db_blocker.unblock(), connected_to(demo_database), transaction.atomic():
        met = {role: walk(client_as(role).get, *starts) for role, starts in STARTS.items()}
        met["customer"] = walk(Client().get, *links_sent_to_customers())
        transaction.set_rollback(True)
    return met


@pytest.fixture
def demo_client(demo: None) -> Callable[[str], Client]:
    """A client of somebody of a role in the demo; `anonymous` is nobody."""
    return client_as


def client_as(role: str) -> Client:
    client = Client(raise_request_exception=False)
    if role != "anonymous":
        person = User.objects.get(username=USERNAMES[role])
        client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    return client


def links_sent_to_customers() -> list[str]:
    from quotes.models import Revision

    revisions = Revision.objects.exclude(token="")
    return [reverse("quotes:link", args=[revision.token]) for revision in revisions]
