"""Manuals, drawings and certificates of a part: a link, or a PDF in the document store."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.utils.text import slugify

from catalogue.models import Part, PartDocument
from fitout.kit import audit, documents
from fitout.kit.models import Audience
from fitout.kit.numbering import next_number


def attach(
    part: Part, *, title: str, file: bytes | None, link: str, by: Any, at: datetime
) -> PartDocument:
    """Open to everybody in the workshop, and to the customer through the handover pack."""
    stored = None
    if file:
        number = next_number("part-document")
        stored = documents.store(
            kind="part",
            number=f"PD-{number:05d}",
            title=f"{part.code}: {title}",
            scope=f"part:{part.pk}",
            filename=f"{slugify(f'{part.code} {title}')[:80] or 'document'}.pdf",
            content=file,
            at=at,
            by=by,
            audience=Audience.EVERYONE,
        )
    document = PartDocument.objects.create(part=part, title=title, link=link, document=stored)
    after = {"title": title, "link": link}
    label = f"Added {title} to {part.code}"
    audit.record(by, "part document", part, scope="parts", label=label, after=after)
    return document
