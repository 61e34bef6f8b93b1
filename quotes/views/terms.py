from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from fitout.jobs.access import get_job
from fitout.kit.pages import back_to, posted, render
from quotes.forms import TermsForm
from quotes.models import JobTerms


def terms_page(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "terms.change")
    form = TermsForm(posted(request), instance=JobTerms.of(job))
    if form.saved_by(request.user):
        messages.success(request, "Terms kept for the next revision.")
        return back_to(reverse("quotes:list", args=[number]))
    context = {"job": job, "form": form}
    return render(request, "quotes/terms.html", context, status=form.http_status)
