from datetime import datetime

import pytest
from django.test import Client

from fitout.kit import documents
from fitout.kit.models import Audience, Document, User


@pytest.fixture
def quote(owner: User, now: datetime) -> Document:
    return documents.store(
        kind="quote", number="Q-0142-A", title="Quote", scope="job:142",
        filename="Q-0142-A.pdf", content=b"%PDF-1.7 x", at=now, by=owner,
        audience=Audience.CUSTOMER,
    )  # fmt: skip


def test_the_office_opens_it(quote: Document, estimator_client: Client) -> None:
    response = estimator_client.get(f"/documents/{quote.pk}/")
    assert response.content == b"%PDF-1.7 x"
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    assert "Content-Security-Policy" not in response.headers
    assert "no-store" not in response.headers["Cache-Control"]
    saved = estimator_client.get(f"/documents/{quote.pk}/?download")
    assert saved.headers["Content-Disposition"] == 'attachment; filename="Q-0142-A.pdf"'


def test_a_technician_does_not(quote: Document, technician_client: Client) -> None:
    response = technician_client.get(f"/documents/{quote.pk}/")
    assert response.status_code == 403
    assert b"%PDF" not in response.content


def test_nobody_does_without_signing_in(quote: Document, client: Client) -> None:
    assert client.get(f"/documents/{quote.pk}/").status_code == 302


def test_no_such_document(owner_client: Client) -> None:
    assert owner_client.get("/documents/999999/").status_code == 404


def test_a_document_that_a_browser_might_run_keeps_the_policy(
    owner: User, now: datetime, owner_client: Client
) -> None:
    drawing = documents.store(
        kind="drawing", number="D-1", title="Drawing", scope="job:142", filename="d.svg",
        content=b"<svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>",
        content_type="image/svg+xml", at=now, by=owner,
    )  # fmt: skip
    response = owner_client.get(f"/documents/{drawing.pk}/")
    assert "script-src 'self'" in response.headers["Content-Security-Policy"]
