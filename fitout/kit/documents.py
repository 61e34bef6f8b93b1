"""Issued documents: stored byte for byte with their hash, served with an access check."""

from __future__ import annotations

import hashlib
import logging
from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.utils.http import content_disposition_header

from .audit import Actor, person_of
from .models import Audience, Document, User
from .pages import render

log = logging.getLogger("fitout.documents")


class DocumentDamaged(Exception):
    """The stored bytes no longer match the hash taken when the document was issued."""


def store(
    *,
    kind: str,
    number: str,
    title: str,
    scope: str,
    filename: str,
    content: bytes,
    at: datetime,
    by: Actor,
    audience: str = Audience.STAFF_MONEY,
    revision: str = "",
    content_type: str = "application/pdf",
) -> Document:
    return Document.objects.create(
        kind=kind,
        number=number,
        revision=revision,
        title=title[:200],
        scope=scope,
        filename=filename,
        content_type=content_type,
        content=content,
        sha256=hashlib.sha256(content).hexdigest(),
        issued_at=at,
        issued_by=person_of(by),
        audience=audience,
    )


def may_open(user: Actor, document: Document) -> bool:
    if not isinstance(user, User) or not user.is_active:
        return False
    if user.sees_money:
        return True
    return Audience(document.audience).open_to_technicians


def content_of(document: Document) -> bytes:
    content = bytes(document.content)
    if hashlib.sha256(content).hexdigest() != document.sha256:
        raise DocumentDamaged(f"{document.number}: stored bytes do not match their hash")
    return content


def response(document: Document, *, as_attachment: bool = False) -> HttpResponse:
    """The file, as issued. A browser's own viewer of PDF files needs no page policy."""
    answer = HttpResponse(content_of(document), content_type=document.content_type)
    disposition = content_disposition_header(as_attachment, document.filename)
    if disposition:
        answer.headers["Content-Disposition"] = disposition
    answer.headers["Cache-Control"] = "private, max-age=3600, immutable"
    answer.headers["ETag"] = f'"{document.sha256}"'
    if document.content_type == "application/pdf":
        vars(answer)["_csp_exempt"] = True  # what the policy's middleware looks for
    return answer


def answer(
    request: HttpRequest, document: Document, *, as_attachment: bool = False
) -> HttpResponse:
    """The file; or, where its bytes are damaged, a page that says so, and the log says which."""
    try:
        return response(document, as_attachment=as_attachment)
    except DocumentDamaged as trouble:
        return not_kept(
            request,
            f"{document.number} is damaged where it is stored, so it is not shown. "
            "A copy from the last backup brings it back.",
            str(trouble),
        )


def not_kept(request: HttpRequest, words: str, trouble: str) -> HttpResponse:
    log.error("not served: %s", trouble)
    return render(request, "kit/not_kept.html", {"words": words}, status=404)
