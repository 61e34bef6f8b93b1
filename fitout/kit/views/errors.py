from django.http import HttpRequest, HttpResponse

from .. import pages


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """The page was open in another tab while signing in, or cookies are off."""
    return pages.render(request, "kit/csrf_failure.html", {}, status=403)
