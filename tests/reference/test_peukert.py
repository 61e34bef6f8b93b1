"""Peukert's law in both forms, and why one of them is wrong."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from electrical.core.energy.battery import hours_by_absolute_form, hours_by_rated_form

CASES = tomllib.loads((Path(__file__).parent / "cases" / "peukert.toml").read_text())
RATED_HOURS = 20.0


@pytest.mark.parametrize("case", CASES["identity"]["case"])
def test_rated_form_gives_the_rated_time_at_the_rated_current(case: dict[str, Any]) -> None:
    hours = hours_by_rated_form(current_a=case["capacity_ah"] / case["rated_hours"], **case)
    assert hours == pytest.approx(case["rated_hours"], rel=1e-9)


@pytest.mark.parametrize("case", CASES["rated"]["case"])
def test_rated_form_gives_the_published_time(case: dict[str, Any]) -> None:
    hours = hours_by_rated_form(
        capacity_ah=case["capacity_ah"],
        current_a=case["current_a"],
        exponent=case["exponent"],
        rated_hours=case["rated_hours"],
    )
    assert hours == pytest.approx(case["printed_h"], abs=case["half_digit"])


@pytest.mark.parametrize("case", CASES["absolute"]["case"])
def test_absolute_form_reproduces_the_published_mistake(case: dict[str, Any]) -> None:
    given = {name: case[name] for name in ("capacity_ah", "current_a", "exponent")}
    hours = hours_by_absolute_form(**given)
    assert hours == pytest.approx(case["printed_h"], abs=case["half_digit"])
    # Were the capacity rated over twenty hours, as capacities are, so much is left out.
    assert hours < 0.75 * hours_by_rated_form(**given, rated_hours=RATED_HOURS)


def test_both_forms_agree_for_a_capacity_rated_at_one_ampere() -> None:
    rated = hours_by_rated_form(capacity_ah=80.0, current_a=6.0, exponent=1.25, rated_hours=80.0)
    absolute = hours_by_absolute_form(capacity_ah=80.0, current_a=6.0, exponent=1.25)
    assert rated == pytest.approx(absolute)
