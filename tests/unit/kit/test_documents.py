import hashlib
from datetime import datetime
from typing import Any

import pytest
from django.contrib.auth.models import AnonymousUser
from django.db import IntegrityError, transaction
from django.test import Client

from fitout.kit import documents
from fitout.kit.models import Audience, Document, Role, User
from tests.factories.people import make_user

CONTENT = b"%PDF-1.7 quote"


def make_document(now: datetime, by: User, **fields: Any) -> Document:
    given = {
        "kind": "quote",
        "number": "Q-0142-A",
        "revision": "A",
        "title": "Quote",
        "scope": "job:142",
        "filename": "Q-0142-A café.pdf",
        "content": CONTENT,
    }
    return documents.store(at=now, by=by, **{**given, **fields})


def test_a_document_is_stored_with_the_hash_of_its_bytes(owner: User, now: datetime) -> None:
    stored = Document.objects.get(pk=make_document(now, owner).pk)
    assert bytes(stored.content) == CONTENT
    assert stored.sha256 == hashlib.sha256(CONTENT).hexdigest()


def test_a_number_is_issued_once_per_kind_and_revision(owner: User, now: datetime) -> None:
    make_document(now, owner)
    make_document(now, owner, revision="B")
    with pytest.raises(IntegrityError), transaction.atomic():
        make_document(now, owner)


def test_damaged_bytes_are_not_served(owner: User, now: datetime) -> None:
    document = make_document(now, owner)
    document.content = b"%PDF-1.7 other"
    with pytest.raises(documents.DocumentDamaged, match="Q-0142-A"):
        documents.response(document)


def test_who_opens_a_damaged_document_is_told_and_the_log_says_which(
    owner_client: Client, owner: User, now: datetime, caplog: pytest.LogCaptureFixture
) -> None:
    document = make_document(now, owner)
    document.sha256 = "0" * 64

    def stored(*_: object, **__: object) -> Document:
        return document

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("fitout.kit.views.papers.get_object_or_404", stored)
        answer = owner_client.get(f"/documents/{document.pk}/")
    assert answer.status_code == 404
    assert "Q-0142-A is damaged where it is stored" in answer.content.decode()
    assert "do not match their hash" in caplog.text


def test_the_file_comes_under_its_name(owner: User, now: datetime) -> None:
    response = documents.response(make_document(now, owner))
    assert response.content == CONTENT
    assert response.headers["Content-Type"] == "application/pdf"
    assert response.headers["Content-Disposition"].startswith("inline")
    assert "caf%C3%A9.pdf" in response.headers["Content-Disposition"]
    attached = documents.response(make_document(now, owner, revision="B"), as_attachment=True)
    assert attached.headers["Content-Disposition"].startswith("attachment")


@pytest.mark.parametrize(
    ("audience", "technician_may"),
    [
        (Audience.STAFF_MONEY, False),
        (Audience.STAFF, True),
        (Audience.CUSTOMER, False),
        (Audience.EVERYONE, True),
    ],
)
def test_documents_with_money_stay_from_technicians(
    audience: Audience, *, technician_may: bool, now: datetime, db: None
) -> None:
    owner, estimator, technician = (make_user(role=role) for role in Role)
    document = make_document(now, owner, audience=audience)
    assert documents.may_open(owner, document)
    assert documents.may_open(estimator, document)
    assert documents.may_open(technician, document) is technician_may
    assert not documents.may_open(AnonymousUser(), document)


def test_somebody_who_left_opens_nothing(owner: User, now: datetime) -> None:
    document = make_document(now, owner, audience=Audience.EVERYONE)
    owner.is_active = False
    assert not documents.may_open(owner, document)


def test_lists_do_not_load_the_bytes(owner: User, now: datetime, query_count: Any) -> None:
    make_document(now, owner)
    with query_count(1) as asked:
        [listed] = Document.objects.in_scope("job:142")
        assert listed.title == "Quote"
    assert '"content"' not in asked.captured_queries[0]["sql"]
