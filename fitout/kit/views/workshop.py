from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from .. import pages
from ..audit import tracked
from ..forms import ModelForm
from ..models import StaleVersion, Workshop


class WorkshopForm(ModelForm):
    class Meta:
        model = Workshop
        fields = ("name", "address", "email", "phone", "tax_number", "country")
        widgets = {"address": forms.Textarea(attrs={"rows": 4})}


def workshop(request: HttpRequest) -> HttpResponse:
    current = Workshop.current()
    form = WorkshopForm(request.POST or None, instance=current)
    if request.method == "POST" and form.is_valid():
        try:
            with tracked(actor=request.user, scope="workshop", label="Workshop details") as change:
                if current.pk:
                    change.watch(current)
                change.created(form.save_by(request.user))
        except StaleVersion as stale:
            form.show_both(stale.current)
            return pages.render(request, "kit/workshop.html", {"form": form}, status=409)
        messages.success(request, "Workshop details kept. Issued documents stay as they are.")
        return pages.back_to(reverse("kit:workshop"))
    status = 422 if form.is_bound else 200
    return pages.render(request, "kit/workshop.html", {"form": form}, status=status)
