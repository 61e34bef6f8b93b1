from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_safe

from .. import pages
from ..models import User
from ..people import PersonForm, hold_owners


@require_safe
def people(request: HttpRequest) -> HttpResponse:
    everybody = User.objects.order_by("-is_active", "display_name")
    return pages.render(request, "kit/people.html", {"people": everybody})


@sensitive_post_parameters("new_password")
@require_http_methods(["GET", "HEAD", "POST"])
def new_person(request: HttpRequest) -> HttpResponse:
    return _person_page(request, User())


@sensitive_post_parameters("new_password")
@require_http_methods(["GET", "HEAD", "POST"])
def person(request: HttpRequest, pk: int) -> HttpResponse:
    return _person_page(request, get_object_or_404(User, pk=pk))


def _person_page(request: HttpRequest, shown: User) -> HttpResponse:
    title = shown.display_name if shown.pk else "New person"
    if request.method == "POST":
        hold_owners()
    form = PersonForm(pages.posted(request), instance=shown)
    if saved := form.saved_by(request.user):
        messages.success(request, f"{saved.display_name} is saved.")
        return pages.back_to(reverse("kit:people"))
    context = {"form": form, "title": title}
    return pages.render(request, "kit/person.html", context, status=form.http_status)
