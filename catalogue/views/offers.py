from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from catalogue.forms.offers import OfferForm
from catalogue.models import Part, SupplierPart
from fitout.kit import pages


@require_http_methods(["GET", "HEAD", "POST"])
def new_offer(request: HttpRequest, pk: int) -> HttpResponse:
    part = get_object_or_404(Part, pk=pk)
    first = not part.offers.filter(preferred=True).exists()
    offer = SupplierPart(part=part, preferred=first, price_date=timezone.localdate())
    return _offer_page(request, offer, f"New offer for {part.code}")


@require_http_methods(["GET", "HEAD", "POST"])
def change_offer(request: HttpRequest, pk: int, offer_pk: int) -> HttpResponse:
    offers = SupplierPart.objects.select_related("part", "supplier")
    offer = get_object_or_404(offers, pk=offer_pk, part_id=pk)
    return _offer_page(request, offer, f"Offer of {offer.supplier} for {offer.part.code}")


def _offer_page(request: HttpRequest, offer: SupplierPart, title: str) -> HttpResponse:
    form = OfferForm(pages.posted(request), instance=offer)
    if saved := form.saved_by(request.user):
        messages.success(request, f"The offer of {saved.supplier} is saved.")
        return pages.back_to(saved.part.get_absolute_url())
    context = {"form": form, "part": offer.part, "title": title}
    return pages.render(request, "catalogue/offer_form.html", context, status=form.http_status)
