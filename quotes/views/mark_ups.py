from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from fitout.kit.access import signed_in
from fitout.kit.audit import tracked
from fitout.kit.models import User
from fitout.kit.pages import back_to, render
from quotes.forms import MarkUpForm
from quotes.models import MarkUp


def mark_ups_page(request: HttpRequest) -> HttpResponse:
    stored = {mark_up.category: mark_up for mark_up in MarkUp.objects.all()}
    form = MarkUpForm(request.POST or None, mark_ups=stored)
    if request.method == "POST" and form.is_valid():
        keep(form, by=signed_in(request))
        messages.success(request, "Mark-ups kept. Issued quotes stay as they are.")
        return back_to(reverse("quotes:mark-ups"))
    status = 422 if form.is_bound else 200
    return render(request, "quotes/mark_ups.html", {"form": form}, status=status)


def keep(form: MarkUpForm, *, by: User) -> None:
    with tracked(actor=by, scope="mark-ups", label="Mark-ups", action="mark_ups") as change:
        for category, mark_up_pct in form.wanted().items():
            row = form.mark_ups.get(category)
            if mark_up_pct is None:
                if row is not None:
                    change.removing(row)
                    row.delete()
            elif row is None:
                change.created(
                    MarkUp.objects.create(category=category, mark_up_pct=mark_up_pct, changed_by=by)
                )
            elif row.mark_up_pct != mark_up_pct:
                change.watch(row)
                row.mark_up_pct = mark_up_pct
                row.save_if_version(row.version, by=by)
