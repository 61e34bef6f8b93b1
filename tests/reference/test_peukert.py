"""Peukert's law in both forms, and why one of them is wrong."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from electrical.core.energy.battery import hours_by_absolute_form, hours_by_rated_form

CASES = tomllib.loads((Path(__file__).parent / "cases" / "peukert.toml").read_text())
WRONG = CASES["absolute"]


@pytest.mark.parametrize("case", CASES["rated"]["case"])
def test_rated_form_gives_the_rated_time_at_the_rated_current(case: dict[str, Any]) -> None:
    hours = hours_by_rated_form(
        capacity_ah=case["capacity_ah"],
        current_a=case["current_a"],
        exponent=case["exponent"],
        rated_hours=case["rated_hours"],
    )
    assert hours == pytest.approx(case["printed_h"], rel=1e-9)


def test_absolute_form_reproduces_the_published_mistake() -> None:
    hours = hours_by_absolute_form(
        capacity_ah=WRONG["capacity_ah"], current_a=WRONG["current_a"], exponent=WRONG["exponent"]
    )
    assert hours == pytest.approx(WRONG["printed_h"], abs=WRONG["half_digit"])
    assert hours < WRONG["rated_h"] * 0.75


def test_both_forms_agree_for_a_capacity_rated_at_one_ampere() -> None:
    rated = hours_by_rated_form(capacity_ah=80.0, current_a=6.0, exponent=1.25, rated_hours=80.0)
    absolute = hours_by_absolute_form(capacity_ah=80.0, current_a=6.0, exponent=1.25)
    assert rated == pytest.approx(absolute)
