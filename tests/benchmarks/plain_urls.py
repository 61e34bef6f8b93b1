"""The site's addresses and two plain views to compare with, behind the same middleware."""

from django.http import HttpRequest, HttpResponse
from django.urls import include, path

from fitout.kit.access import STAFF, Rule, register
from tests.benchmarks.rows_by_hand import page_by_hand


def plain(request: HttpRequest) -> HttpResponse:
    return HttpResponse("ok")


def sheet_by_hand(request: HttpRequest, number: int) -> HttpResponse:
    return HttpResponse(page_by_hand(request, number))


register(
    {"benchmark.plain": Rule(STAFF), "benchmark.sheet": Rule(STAFF)},
    {"benchmark-plain": "benchmark.plain", "benchmark-sheet": "benchmark.sheet"},
)
urlpatterns = [
    path("benchmark/", plain, name="benchmark-plain"),
    path("benchmark/<int:number>/", sheet_by_hand, name="benchmark-sheet"),
    path("", include("fitout.urls")),
]
