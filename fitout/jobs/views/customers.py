from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Count, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from fitout.jobs.forms.customers import CustomerForm
from fitout.jobs.models import Customer
from fitout.kit import pages


@require_safe
def customers(request: HttpRequest) -> HttpResponse:
    asked = request.GET.get("q", "").strip()[:100].replace("\0", "")
    found = Customer.objects.annotate(job_count=Count("jobs")).order_by("name", "pk")
    if asked:
        found = found.filter(Q(name__icontains=asked) | Q(contact__icontains=asked))
    page = Paginator(found, 50).get_page(request.GET.get("page"))
    context = {"page": page, "asked": asked}
    return pages.render(request, "jobs/customers.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def new_customer(request: HttpRequest) -> HttpResponse:
    return _customer_page(request, Customer())


@require_http_methods(["GET", "HEAD", "POST"])
def customer(request: HttpRequest, pk: int) -> HttpResponse:
    return _customer_page(request, get_object_or_404(Customer, pk=pk))


def _customer_page(request: HttpRequest, shown: Customer) -> HttpResponse:
    title = shown.name or "New customer"
    form = CustomerForm(pages.posted(request), instance=shown)
    if saved := form.saved_by(request.user):
        messages.success(request, f"{saved.name} is saved.")
        return pages.back_to(reverse("jobs:customers"))
    jobs = shown.jobs.for_list() if shown.pk else []
    context = {"form": form, "title": title, "jobs": jobs}
    return pages.render(request, "jobs/customer.html", context, status=form.http_status)
