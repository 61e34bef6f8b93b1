from __future__ import annotations

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from electrical import cautions
from electrical.joint_choices import ask_for, use
from electrical.joint_page import JointPage
from electrical.models import WorkStatus
from fitout.jobs.access import get_job
from fitout.kit import access, pages
from fitout.kit.models import StaleVersion

FRAGMENTS = {"together": "electrical/_together.html"}


@require_safe
def together(request: HttpRequest, number: int) -> HttpResponse:
    """Asks again by itself while the choice is being worked out."""
    job = get_job(request, number, "wiring.view")
    choice = job.joint_choices.select_related("job", "asked_by").first()
    is_ready = choice is not None and choice.status == WorkStatus.READY
    context = {
        "job": job,
        "choice": choice,
        "page": JointPage(choice, job.currency) if choice is not None and is_ready else None,
        "caution": cautions.TEXT,
        "may_edit": access.can(request.user, "wiring.change", job.stage),
        "sees_money": access.sees_money(request.user),
    }
    return pages.render(request, "electrical/together.html", context, fragments=FRAGMENTS)


@require_POST
def ask(request: HttpRequest, number: int) -> HttpResponse:
    from electrical.tasks import make_joint_choice

    job = get_job(request, number, "wiring.change")
    choice = ask_for(job, by=access.signed_in(request), at=timezone.now())
    transaction.on_commit(lambda: make_joint_choice.enqueue(choice.pk))
    return pages.back_to(reverse("electrical:together", args=[job.number]))


@require_POST
def use_choice(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "wiring.change")
    choice = job.joint_choices.filter(status=WorkStatus.READY).first()
    here = reverse("electrical:together", args=[job.number])
    if choice is None:
        messages.error(request, "There is no choice to use; have it worked out first.")
        return pages.back_to(here)
    try:
        count = use(choice, by=access.signed_in(request))
    except StaleVersion:
        messages.error(
            request, "A circuit was changed since this was worked out. Have it worked out again."
        )
        return pages.back_to(here)
    circuits = "circuit has" if count == 1 else "circuits have"
    messages.success(request, f"{count} {circuits} the cable and fuse chosen together.")
    return pages.back_to(reverse("electrical:wiring", args=[job.number]))
