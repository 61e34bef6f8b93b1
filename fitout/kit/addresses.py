"""Where a request comes from, past the proxies we run and no further."""

from __future__ import annotations

from ipaddress import ip_address

from django.conf import settings
from django.http import HttpRequest


def client_address(request: HttpRequest) -> str:
    """The address our outermost proxy saw.

    Each proxy appends to X-Forwarded-For; what stands left of our own proxies was sent
    by the client and may say anything, so it is counted from the right.
    """
    direct = str(request.META.get("REMOTE_ADDR", ""))
    proxies = settings.PROXIES
    chain = [part.strip() for part in request.headers.get("X-Forwarded-For", "").split(",")]
    if not proxies or len(chain) < proxies:
        return direct
    try:
        return str(ip_address(chain[-proxies]))
    except ValueError:
        return direct
