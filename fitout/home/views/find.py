from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from fitout.home.finding import LONGEST, MOST_IN_A_GROUP, find
from fitout.kit.access import signed_in
from fitout.kit.pages import render


@require_safe
def search(request: HttpRequest) -> HttpResponse:
    text = request.GET.get("q", "").strip()
    groups = find(text, signed_in(request))
    context = {
        "search_text": text[:LONGEST],
        "is_cut": len(text) > LONGEST,
        "longest": LONGEST,
        "groups": groups,
        "most": MOST_IN_A_GROUP,
        "count": sum(map(len, groups.values())),
    }
    return render(request, "home/search.html", context, fragments={"found": "home/_found.html"})
