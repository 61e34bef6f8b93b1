"""Figures of a finding as they are shown."""

import pytest

from electrical.finding_groups import figure_texts
from fitout.kit.text import THIN_SPACE

pytestmark = pytest.mark.pure
NBSP = "\N{NO-BREAK SPACE}"


@pytest.mark.parametrize(
    ("value", "limit", "shown"),
    [
        (3.9123, 3.0, ("3.91", "3")),
        (120.1, 120.0, ("120.1", "120")),
        (10.004, 10.0, ("10.004", "10")),
        (4887.0, 2000.0, ("4~887", "2~000")),
        (159630.0, 10000.4, ("159~630", "10~000")),
        (10000.4, 10000.0, ("10~000.4", "10~000")),
        (-2000.0, 999.0, ("-2~000", "999")),
        (120.0, 120.0, ("120", "120")),
    ],
)
def test_value_and_limit_are_told_apart(value: float, limit: float, shown: tuple[str, str]) -> None:
    grouped = [digits.replace("~", THIN_SPACE) for digits in shown]
    assert figure_texts(value, limit, "A") == tuple(f"{digits}{NBSP}A" for digits in grouped)


def test_what_is_not_known_is_left_empty() -> None:
    assert figure_texts(None, 3.0, "%") == ("", f"3{NBSP}%")
