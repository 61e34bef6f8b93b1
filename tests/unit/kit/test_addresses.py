from typing import Any

import pytest
from django.test import RequestFactory

from fitout.kit.addresses import client_address

pytestmark = pytest.mark.pure


@pytest.mark.parametrize(
    ("proxies", "forwarded", "address"),
    [
        (0, "", "192.0.2.1"),
        (0, "198.51.100.7", "192.0.2.1"),
        (1, "198.51.100.7", "198.51.100.7"),
        (1, "203.0.113.9, 198.51.100.7", "198.51.100.7"),
        (2, "203.0.113.9, 198.51.100.7, 192.0.2.8", "198.51.100.7"),
        (2, "198.51.100.7", "192.0.2.1"),
        (1, "", "192.0.2.1"),
        (1, "2001:db8::1", "2001:db8::1"),
        (1, "<script>", "192.0.2.1"),
    ],
)
def test_only_what_our_own_proxies_wrote_is_believed(
    settings: Any, proxies: int, forwarded: str, address: str
) -> None:
    settings.PROXIES = proxies
    headers = {"X-Forwarded-For": forwarded} if forwarded else {}
    request = RequestFactory(REMOTE_ADDR="192.0.2.1").get("/", headers=headers)
    assert client_address(request) == address
