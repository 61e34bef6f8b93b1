from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from catalogue.data_sheet import data_sheet
from catalogue.forms.offers import PartDocumentForm
from catalogue.models import Part, PartDocument
from catalogue.part_documents import attach
from fitout.kit import audit, pages


@require_safe
def part_data_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    part = get_object_or_404(Part.objects.for_page(), pk=pk)
    made = data_sheet(part, today=timezone.localdate())
    answer = HttpResponse(made, content_type="application/pdf")
    disposition = content_disposition_header(False, f"{part.code} data sheet.pdf")
    answer.headers["Content-Disposition"] = disposition or "inline"
    return answer


@require_http_methods(["GET", "HEAD", "POST"])
def new_part_document(request: HttpRequest, pk: int) -> HttpResponse:
    part = get_object_or_404(Part, pk=pk)
    form = PartDocumentForm(request.POST or None, request.FILES or None)
    context = {"form": form, "part": part, "title": f"New document for {part.code}"}
    if request.method != "POST":
        return pages.render(request, "catalogue/document_form.html", context)
    if not form.is_valid():
        return pages.render(request, "catalogue/document_form.html", context, status=422)
    attach(part, **form.cleaned_data, by=request.user, at=timezone.now())
    messages.success(request, f"{form.cleaned_data['title']} is added.")
    return pages.back_to(part.get_absolute_url())


@require_POST
def remove_part_document(request: HttpRequest, pk: int, document_pk: int) -> HttpResponse:
    document = get_object_or_404(
        PartDocument.objects.select_related("part"), pk=document_pk, part_id=pk
    )
    label = f"Removed {document.title} from {document.part.code}"
    with audit.tracked(
        actor=request.user, scope="parts", label=label, action="part document"
    ) as change:
        change.watch(document.part)
        change.removing(document)
        document.delete()
    messages.success(request, f"{label}.")
    return pages.back_to(document.part.get_absolute_url())
