"""The build sheet of 600 lines against an f-string render of the same rows, in one run.

Run as ``python -m tests.benchmarks.bench_build_sheet`` from the project's root. Both answer the
same signed-in request through the same middleware and read the same rows; the least time of each
is compared.
"""

from __future__ import annotations

import sys

from tests.benchmarks.world import (
    LINES,
    job_of_many_lines,
    load_catalogue,
    temporary_database,
    turn_by_turn,
    verdict,
)

ROUNDS = 25
MOST = 2.5


def main() -> int:
    with temporary_database():
        from django.test import Client, override_settings

        from fitout.kit.models import User

        load_catalogue()
        number = job_of_many_lines()
        client = Client()
        owner = User.objects.get(username="maren")
        client.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")

        def fetched(path: str) -> bytes:
            answer = client.get(path)
            assert answer.status_code == 200, answer.status_code
            assert answer.content.count(b'id="line-') == LINES
            return answer.content

        with override_settings(ROOT_URLCONF="tests.benchmarks.plain_urls"):
            times = turn_by_turn(
                ROUNDS,
                page=lambda: fetched(f"/jobs/{number}/"),
                by_hand=lambda: fetched(f"/benchmark/{number}/"),
            )
    page_ms, by_hand_ms = times["page"][0], times["by_hand"][0]
    print(f"build sheet of {LINES} lines: page {page_ms:.1f} ms, f-strings {by_hand_ms:.1f} ms")
    return verdict("page against f-strings", page_ms / by_hand_ms, MOST)


if __name__ == "__main__":
    sys.exit(main())
