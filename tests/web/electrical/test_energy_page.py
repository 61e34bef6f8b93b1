"""The energy page: what charges, with how much, and what sets it."""

import pytest
from bs4 import BeautifulSoup
from django.test import Client
from django.urls import reverse

from electrical.wiring.wire_up import wire_up
from fitout.jobs.models import Job
from fitout.kit.models import User
from tests.factories.electrical import (
    make_alternator,
    make_battery,
    make_charger,
    make_small_vessel,
    put,
    usual_loads,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(estimator: User) -> Job:
    job = make_small_vessel(estimator, loads=usual_loads())
    parts = (
        make_battery("House battery 2", capacity_ah="400"),
        make_battery("Start battery", use="start"),
        make_alternator(output_a="40"),
        make_charger("<b>DC-DC</b>"),
    )
    for part in parts:
        put(job, part, "EW", by=estimator)
    wire_up(job, estimator)
    return job


def test_a_charger_is_told_with_what_sets_its_current(job: Job, estimator_client: Client) -> None:
    answer = estimator_client.get(reverse("electrical:energy", args=[job.number]))
    soup = BeautifulSoup(answer.content, "html.parser")
    (row,) = [row for row in soup.select("#energy tbody tr") if "DC-DC" in row.get_text()]
    name, current, _, why = (cell.get_text(strip=True) for cell in row.select("th, td"))
    assert name.endswith("<b>DC-DC</b>")
    assert current == "25.2\N{NO-BREAK SPACE}A"
    assert why.startswith("Limited by the alternator: 28.0\N{NO-BREAK SPACE}A to spare")
    assert "common practice, no source" in why
