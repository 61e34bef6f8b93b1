"""Where a line breaks, a number keeps its unit."""

import pytest

from fitout.kit.text import held_together


@pytest.mark.parametrize(
    ("text", "held"),
    [
        ("Bow motor, 12 V", "Bow motor, 12\N{NO-BREAK SPACE}V"),
        ("Battery, 12.8 V 280 Ah", "Battery, 12.8\N{NO-BREAK SPACE}V 280\N{NO-BREAK SPACE}Ah"),
        ("3 Vikings", "3 Vikings"),
        ("Ω meter", "Ω meter"),
    ],
)
def test_a_number_is_held_to_its_unit(text: str, held: str) -> None:
    assert held_together(text) == held
