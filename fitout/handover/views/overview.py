from __future__ import annotations

from django.contrib import messages
from django.db import transaction
from django.db.models import Count, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from electrical.check import check
from fitout.handover.forms import RegisterItemForm
from fitout.handover.models import Pack, RegisterItem
from fitout.handover.packing import CannotPack, ask_for, open_points
from fitout.handover.registering import refresh
from fitout.handover.tasks import make_pack as make_pack_task
from fitout.jobs.access import get_job
from fitout.kit.access import can, signed_in
from fitout.kit.pages import back_to, posted, render


def overview(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number)
    sheets = job.test_sheets.annotate(
        total=Count("readings"),
        passed=Count("readings", filter=Q(readings__outcome__in=["pass", "na"])),
        failed=Count("readings", filter=Q(readings__outcome="fail")),
    )
    packs = job.packs.select_related("job", "asked_by", "document").defer("document__content")
    context = {
        "job": job,
        "sheets": list(sheets),
        "register": list(job.register.all()),
        "packs": list(packs),
        "points": open_points(job, check(job)),
        "may_make_sheets": can(request.user, "tests.make", job.stage),
        "may_change_register": can(request.user, "register.change", job.stage),
        "may_pack": can(request.user, "pack.make", job.stage),
    }
    return render(request, "handover/overview.html", context)


@require_POST
def make_pack(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "pack.make")
    try:
        pack = ask_for(job, by=signed_in(request), at=timezone.now())
    except CannotPack as trouble:
        messages.error(request, str(trouble))
    else:
        transaction.on_commit(lambda: make_pack_task.enqueue(pack.pk))
        messages.success(request, f"{pack.number} is being made.")
    return back_to(reverse("handover:overview", args=[number]))


def pack_row(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """One pack's row; asks again by itself while the pack is being made."""
    job = get_job(request, number)
    packs = Pack.objects.select_related("job", "asked_by", "document").defer("document__content")
    pack = get_object_or_404(packs, pk=pk, job=job)
    return render(request, "handover/_pack.html", {"job": job, "pack": pack})


@require_POST
def refresh_register(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number, "register.change")
    added = refresh(job, by=signed_in(request))
    messages.success(request, f"Register follows the build sheet; {added} new.")
    return back_to(reverse("handover:overview", args=[number]) + "#equipment")


def register_item(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    job = get_job(request, number, "register.change")
    item = get_object_or_404(RegisterItem, pk=pk, job=job)
    form = RegisterItemForm(posted(request), instance=item)
    if form.saved_by(request.user):
        messages.success(request, f"{item} kept.")
        return back_to(reverse("handover:overview", args=[number]) + "#equipment")
    context = {"job": job, "item": item, "form": form}
    return render(request, "handover/item.html", context, status=form.http_status)
