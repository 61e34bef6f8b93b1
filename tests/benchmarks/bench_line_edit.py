"""Editing one line, sign-in checked, against a plain view, at the 95th percentile in one run.

Run as ``python -m tests.benchmarks.bench_line_edit`` from the project's root. The edit is the
whole POST: session, access, form, version, audit, commit and the answering fragment, on a job of
600 lines. The plain view answers two letters to the same person through the same middleware.
"""

from __future__ import annotations

import sys
from itertools import count

from tests.benchmarks.world import (
    job_of_many_lines,
    load_catalogue,
    temporary_database,
    turn_by_turn,
    verdict,
)

ROUNDS = 200
MOST = 20.0


def main() -> int:
    with temporary_database():
        from bs4 import BeautifulSoup
        from django.test import Client, override_settings

        from fitout.jobs.models import Line
        from fitout.kit.models import User
        from tests.web.crawl import forms_in

        load_catalogue()
        number = job_of_many_lines()
        line = Line.objects.filter(job__number=number).earliest("pk")
        client = Client()
        owner = User.objects.get(username="maren")
        client.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
        path = f"/jobs/{number}/lines/{line.pk}/"
        soup = BeautifulSoup(client.get(path).content, "html.parser")
        opened = next(form for form in forms_in(soup, path) if form.action == path).values
        versions = count(int(opened["version"][0]))
        htmx = {"HX-Request": "true", "HX-Target": f"line-{line.pk}"}

        def edit() -> None:
            version = next(versions)
            sent = opened | {
                "version": [str(version)],
                "quantity": [str(version + 1)],
                "once": [f"key-{version}"],
            }
            answer = client.post(path, sent, headers=htmx)
            assert answer.status_code == 200, answer.content.decode()

        def plain() -> None:
            assert client.get("/benchmark/").content == b"ok"

        with override_settings(ROOT_URLCONF="tests.benchmarks.plain_urls"):
            times = turn_by_turn(ROUNDS, edit=edit, plain=plain)
        assert Line.objects.get(pk=line.pk).quantity == next(versions)
    at_p95 = int(0.95 * ROUNDS)
    edit_ms, plain_ms = times["edit"][at_p95], times["plain"][at_p95]
    print(f"one-line edit {edit_ms:.1f} ms, plain view {plain_ms:.1f} ms, 95th percentile")
    return verdict("edit against a plain view", edit_ms / plain_ms, MOST)


if __name__ == "__main__":
    sys.exit(main())
