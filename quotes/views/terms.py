from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from fitout.jobs.access import get_job
from fitout.kit.access import require
from fitout.kit.audit import tracked
from fitout.kit.pages import back_to, render
from quotes.forms import TermsForm
from quotes.models import JobTerms


def terms_page(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number)
    require(request.user, "terms.change", job.stage)
    terms = JobTerms.of(job)
    form = TermsForm(request.POST or None, instance=terms)
    if request.method == "POST" and form.is_valid():
        label = f"Terms of {job.code}"
        who = request.user
        with tracked(actor=who, scope=job.scope, label=label, action="terms") as change:
            if terms.pk:
                change.watch(terms)
            saved = form.save_by(request.user)
            change.created(saved)
        messages.success(request, "Terms kept for the next revision.")
        return back_to(reverse("quotes:list", args=[number]))
    status = 422 if form.is_bound else 200
    return render(request, "quotes/terms.html", {"job": job, "form": form}, status=status)
