from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from fitout.home.board import read_board
from fitout.home.strip import read_strip
from fitout.jobs.access import get_job
from fitout.kit.access import signed_in
from fitout.kit.pages import back_to, render


@require_safe
def board(request: HttpRequest) -> HttpResponse:
    if not signed_in(request).sees_money:
        return back_to(reverse("workshop:work"))
    late_only = request.GET.get("show") == "late"
    context = {
        "board": read_board(today=timezone.localdate(), late_only=late_only),
        "late_only": late_only,
    }
    return render(request, "home/board.html", context)


@require_safe
def strip(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number)
    context = {"job": job, "strip": read_strip(job, now=timezone.now())}
    return render(request, "home/_strip.html", context)
