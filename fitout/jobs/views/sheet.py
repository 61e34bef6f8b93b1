from __future__ import annotations

from dataclasses import replace
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from fitout.jobs.access import get_job
from fitout.jobs.hullplan.drawing import deck_plan, profile
from fitout.jobs.hullplan.markers import markers_of
from fitout.jobs.hullplan.plan import read_plan
from fitout.jobs.models import Job, Zone
from fitout.jobs.page import SheetPage, sheet_page
from fitout.kit import access, pages

FRAGMENTS = {
    "lines": "jobs/_changed_lines.html",
    "band": "jobs/_changed_band.html",
}


@require_safe
def sheet(request: HttpRequest, number: int) -> HttpResponse:
    job = get_job(request, number)
    context = sheet_context(
        request,
        job,
        chosen=request.GET.get("zone", "")[:3].upper(),
        open_ids=ids_in(request.GET.getlist("open")),
    )
    return pages.render(request, "jobs/sheet.html", context, fragments=FRAGMENTS)


def ids_in(words: list[str]) -> set[int]:
    return {int(word) for word in words if word.isdecimal() and len(word) < 16}


def sheet_context(
    request: HttpRequest,
    job: Job,
    *,
    chosen: str = "",
    open_ids: set[int] | None = None,
    zone: Zone | None = None,
) -> dict[str, Any]:
    """What the page and every fragment of it show."""
    user: Any = request.user
    money = access.sees_money(user)
    page = sheet_page(job, money=money, chosen=chosen, open_ids=open_ids or (), zone=zone)
    return {
        "job": job,
        "page": page,
        "money": money,
        "may_edit": access.can(user, "build_sheet.change", job.stage),
        "has_follow_up": page.has_follow_up,
        "has_prices": page.has_prices,
        "has_circuits": page.has_circuits,
        "base": f"/jobs/{job.number}/",
        "columns": columns_of(page, money=money),
        "drawings": LazyDrawings(job, page),
    }


class LazyDrawings:
    """The hull plan, drawn only if the template asks for it."""

    def __init__(self, job: Job, page: SheetPage) -> None:
        self.job = job
        self.page = page
        self._plan: Any = None

    @property
    def plan(self) -> Any:
        if self._plan is None:
            self._plan = read_plan(self.job.vessel, markers_of(self.page.lines))
        return self._plan

    def link(self, code: str) -> str:
        return f"?zone={code}"

    @property
    def profile(self) -> str:
        return profile(self.plan, chosen=self.page.chosen, zone_link=self.link)

    @property
    def deck(self) -> str:
        return deck_plan(self.plan, chosen=self.page.chosen, zone_link=self.link)

    @property
    def small(self) -> str:
        """The folded plan in the bar of views: the vessel and its zones, without a word."""
        return deck_plan(replace(self.plan, markers=(), segments=()), silent=True, name="small")


def columns_of(page: SheetPage, *, money: bool) -> list[tuple[str, str, bool]]:
    """Class, head and whether it holds figures, for each column this person sees."""
    wanted = [
        ("id", "Line", False, True),
        ("qty", "Qty", True, True),
        ("unit", "Unit", False, True),
        ("what", "What it is", False, True),
        ("code", "Part code", False, True),
        ("follow", "Where it is", False, page.has_follow_up),
        ("supplier", "Supplier", False, money),
        ("cost", "Cost each ex\N{NO-BREAK SPACE}VAT", True, money),
        ("labour", "Labour hours", True, True),
        ("mass", "Mass kg", True, True),
        ("sell", "Price ex VAT", True, page.has_prices),
        ("choice", "Choice", False, True),
        ("circuits", "Circuits", False, page.has_circuits),
    ]
    return [(name, head, figures) for name, head, figures, shown in wanted if shown]
