from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from electrical import cautions
from electrical.check import check
from electrical.reckoning import Reckoner
from fitout.jobs.access import get_job
from fitout.kit import access, pages


@require_safe
def checks(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.view")
    checked = check(job)
    context = {
        "job": job,
        "checked": checked,
        "subjects": Reckoner(checked).elsewhere,
        "caution": cautions.TEXT,
        "may_edit": access.can(request.user, "wiring.change", job.stage),
    }
    return pages.render(request, "electrical/checks.html", context)
