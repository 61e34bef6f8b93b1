from __future__ import annotations

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from .. import documents
from ..models import Document


@require_safe
def document(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Document, pk=pk)
    if not documents.may_open(request.user, found):
        raise PermissionDenied("document")
    return documents.answer(request, found, as_attachment="download" in request.GET)
