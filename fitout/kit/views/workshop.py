from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from .. import pages
from ..forms import TrackedForm
from ..models import Workshop


class WorkshopForm(TrackedForm):
    scope = "workshop"

    class Meta:
        model = Workshop
        fields = ("name", "address", "email", "phone", "tax_number", "country")
        widgets = {"address": forms.Textarea(attrs={"rows": 4})}

    def entry_label(self, *, adding: bool) -> str:
        return "Workshop details"


def workshop(request: HttpRequest) -> HttpResponse:
    form = WorkshopForm(pages.posted(request), instance=Workshop.current())
    if form.saved_by(request.user):
        messages.success(request, "Workshop details kept. Issued documents stay as they are.")
        return pages.back_to(reverse("kit:workshop"))
    return pages.render(request, "kit/workshop.html", {"form": form}, status=form.http_status)
