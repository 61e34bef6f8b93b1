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
    context = {
        "job": job,
        "subjects": Reckoner(check(job)).elsewhere,
        "caution": cautions.TEXT,
        "may_edit": access.can(request.user, "wiring.change", job.stage),
    }
    return pages.render(request, "electrical/checks.html", context)
