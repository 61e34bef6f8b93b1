from django.http import HttpRequest, HttpResponse

from catalogue.models.labour import Phase
from fitout.jobs.access import get_job
from fitout.kit.access import can
from fitout.kit.pages import render
from quotes.estimate import estimate
from quotes.sheet_rows import priced_sheet


def estimate_page(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number)
    result = estimate(priced_sheet(job))
    phases = [(Phase(phase).label, hours) for phase, hours in result.by_phase.items()]
    may_edit = can(request.user, "build_sheet.change", job.stage)
    context = {"job": job, "estimate": result, "phases": phases, "may_edit": may_edit}
    return render(request, "quotes/estimate.html", context)
