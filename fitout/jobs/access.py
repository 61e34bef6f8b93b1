"""The job a page is about, if the person may see it."""

from __future__ import annotations

from django.http import HttpRequest
from django.shortcuts import get_object_or_404

from fitout.jobs.models import Job


def get_job(request: HttpRequest, number: int) -> Job:
    jobs = Job.objects.visible_to(request.user).select_related("vessel", "customer", "lead")
    return get_object_or_404(jobs, number=number)
