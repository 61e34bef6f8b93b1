from __future__ import annotations

from django.http import HttpRequest, HttpResponse

from .. import pages
from ..held import held_post, opened


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """The form's token is an older one: signing in since, in another tab, replaced it.

    What was typed may be sent again only where the browser vouches that the form came
    from our own page; a form from elsewhere is refused and not offered again.
    """
    content = opened(held_post(request)) if _came_from_our_page(request) else None
    if content is None:
        return pages.render(request, "kit/csrf_failure.html", {}, status=403)
    context = {"kept": content, "next": request.path, "out_of_date": True}
    return pages.render(request, "kit/held.html", context, status=403)


def _came_from_our_page(request: HttpRequest) -> bool:
    own = f"{request.scheme}://{request.get_host()}"
    return request.user.is_authenticated and request.headers.get("Origin") == own
