"""Colours of the look against WCAG 2.2: success criteria 1.4.3 (text 4.5 to 1) and
1.4.11 (parts of controls 3 to 1). Relative luminance and contrast ratio are those of the
glossary of WCAG 2.2, https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio. Status: the weights
second-hand; the threshold 0.04045 (0.03928 before May 2021) read in
https://w3c.github.io/wcag/understanding/relative-luminance.html; the range 1 to 21 is
checked here.
"""

import re
from pathlib import Path

import pytest

TOKENS = (Path(__file__).parents[3] / "static/css/tokens.css").read_text(encoding="utf-8")

TEXT_PAIRS = [
    ("ink", ground) for ground in ("paper", "sheet", "buff", "water", "magt")
] + [
    ("ink2", "paper"), ("ink2", "sheet"), ("ink2", "buff"), ("ink2", "water"),
    ("ink3", "paper"), ("ink3", "sheet"),
    ("mag", "paper"), ("mag", "sheet"), ("mag", "buff"), ("mag", "water"), ("mag", "magt"),
    ("on-mag", "mag"), ("on-mag", "mag-press"),
    ("sheet", "ink"), ("sheet", "ink2"),
    ("deep-ink", "deep"), ("deep-ink2", "deep"), ("deep-ink", "deep2"), ("deep-ink2", "deep2"),
]  # fmt: skip
VERDICTS = ("pass", "attention", "stop", "note", "unsure")
TEXT_PAIRS += [(kind, ground) for kind in VERDICTS for ground in ("paper", "sheet", f"{kind}-tint")]
TEXT_PAIRS += [("ink", f"{kind}-tint") for kind in VERDICTS]
TEXT_PAIRS += [(f"deep-{kind}", "deep") for kind in VERDICTS]
CONTROL_PAIRS = [("rule2", "paper"), ("rule2", "sheet"), ("ink3", "sheet"), ("mag", "sheet")]


def colours(light: str) -> dict[str, str]:
    day, night = TOKENS.split(':root[data-light="night"]', 1)
    found = dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{6})\b", day))
    if light == "night":
        found |= dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{6})\b", night))
    return found


def luminance(colour: str) -> float:
    def linear(channel: float) -> float:
        return channel / 12.92 if channel <= 0.04045 else ((channel + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(int(colour[i : i + 2], 16) / 255) for i in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def ratio(first: str, second: str) -> float:
    low, high = sorted((luminance(first), luminance(second)))
    return (high + 0.05) / (low + 0.05)


def test_ratio_of_black_on_white_is_21_and_of_like_on_like_is_1() -> None:
    assert ratio("#000000", "#ffffff") == pytest.approx(21)
    assert ratio("#94187a", "#94187a") == 1


@pytest.mark.parametrize("light", ["day", "night"])
@pytest.mark.parametrize(("ink", "ground"), TEXT_PAIRS)
def test_text_is_readable_on_its_ground(light: str, ink: str, ground: str) -> None:
    known = colours(light)
    assert ratio(known[ink], known[ground]) >= 4.5


@pytest.mark.parametrize("light", ["day", "night"])
@pytest.mark.parametrize(("edge", "ground"), CONTROL_PAIRS)
def test_edges_of_controls_can_be_seen(light: str, edge: str, ground: str) -> None:
    known = colours(light)
    assert ratio(known[edge], known[ground]) >= 3
