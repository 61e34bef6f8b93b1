from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from electrical import cautions
from electrical.check import check
from electrical.finding_groups import grouped
from electrical.shelf import shelf_of
from electrical.states_page import StatesPage, is_about_link
from fitout.jobs.access import get_job
from fitout.kit import access, pages


@require_safe
def states(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.view")
    checked = check(job)
    context = {
        "job": job,
        "page": StatesPage(checked),
        "groups": grouped(
            checked.facts,
            [f for f in checked.findings if is_about_link(f)],
            shelf_of(checked),
        ),
        "caution": cautions.TEXT,
        "may_edit": access.can(request.user, "wiring.change", job.stage),
    }
    return pages.render(request, "electrical/states.html", context)
