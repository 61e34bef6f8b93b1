"""Who may see and change customers, jobs, hull plans and build sheets."""

from __future__ import annotations

from django.http import Http404, HttpRequest

from fitout.kit.access import OFFICE, STAFF, Rule, require

from .models import Job
from .models.jobs import OPEN_STAGES

ACTIONS = {
    "customer.view": Rule(roles=OFFICE),
    "customer.change": Rule(roles=OFFICE),
    "job.list": Rule(roles=STAFF),
    "job.open": Rule(roles=OFFICE),
    "job.change": Rule(roles=OFFICE),
    "build_sheet.view": Rule(roles=STAFF),
    "build_sheet.change": Rule(roles=OFFICE, stages=OPEN_STAGES),
    "hull_plan.view": Rule(roles=STAFF),
    "hull_plan.change": Rule(roles=OFFICE, stages=OPEN_STAGES),
}

URLS = {
    "jobs:customers": "customer.view",
    "jobs:customer_new": "customer.change",
    "jobs:customer": "customer.change",
    "jobs:list": "job.list",
    "jobs:new": "job.open",
    "jobs:details": "job.change",
    "jobs:stage": "job.change",
    "jobs:sheet": "build_sheet.view",
    "jobs:add": "build_sheet.change",
    "jobs:line": "build_sheet.change",
    "jobs:line_move": "build_sheet.change",
    "jobs:line_remove": "build_sheet.change",
    "jobs:line_choice": "build_sheet.change",
    "jobs:line_kit": "build_sheet.view",
    "jobs:copy": "build_sheet.change",
    "jobs:refresh": "build_sheet.change",
    "jobs:hull": "hull_plan.view",
    "jobs:zone": "hull_plan.change",
    "jobs:zone_new": "hull_plan.change",
    "jobs:node": "hull_plan.change",
    "jobs:node_new": "hull_plan.change",
    "jobs:segment": "hull_plan.change",
    "jobs:segment_new": "hull_plan.change",
    "jobs:zone_remove": "hull_plan.change",
    "jobs:node_remove": "hull_plan.change",
    "jobs:segment_remove": "hull_plan.change",
}


def get_job(request: HttpRequest, number: int, action: str = "") -> Job:
    """The job, or 404 where the person may not know of it, or 403 at this stage of it."""
    job = Job.objects.visible_to(request.user).for_title().filter(number=number).first()
    if job is None:
        raise Http404(f"There is no job {number}.")
    if action:
        require(request.user, action, job.stage)
    return job


def stage_of(number: str) -> str | None:
    """The stage of the job of an audit scope, which decides whether an entry may be undone."""
    return Job.objects.filter(number=int(number)).values_list("stage", flat=True).first()
