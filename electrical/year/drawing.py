"""Charts of energy: the chance of reaching the floor by month, a day hour by hour."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.html import escape

from electrical.schematic.canvas import n
from electrical.year.ports import MONTHS

WIDTH, HEIGHT = 520.0, 210.0
LEFT, RIGHT, TOP, BOTTOM = 44.0, 12.0, 12.0, 26.0
PLOT_W, PLOT_H = WIDTH - LEFT - RIGHT, HEIGHT - TOP - BOTTOM
PERCENTS = (0, 25, 50, 75, 100)
HOURS = 24
NBSP = "\N{NO-BREAK SPACE}"
MINUS = "\N{MINUS SIGN}"


def chances(months: Sequence[dict[str, Any]], chosen: int) -> str:
    """One bar a month; the one chosen is marked."""
    step = PLOT_W / 12
    pieces = []
    for month in months:
        at = int(month["month"])
        x = LEFT + (at - 1) * step
        height = PLOT_H * float(month["floor_chance"])
        classes = "bar over" if month["floor_chance"] > 0.0 else "bar"
        pieces.append(
            f'<rect class="{classes}" x="{n(x + step * 0.18)}" y="{n(TOP + PLOT_H - height)}" '
            f'width="{n(step * 0.64)}" height="{n(height)}"/>'
        )
        letters = MONTHS[at - 1][:3]
        pieces.append(_text(x + step / 2, HEIGHT - 9, letters, "middle"))
        if at == chosen:
            y = TOP + PLOT_H
            pieces.append(f'<path class="limit" d="M{n(x + 3)},{n(y)} H{n(x + step - 3)}"/>')
    return _framed("Chance of reaching the floor in each month, per cent", pieces)


def band(month: dict[str, Any], floor: float) -> str:
    """Between what a tenth and nine tenths of the days stay below; half in the middle."""
    low, middle, high = ([float(v) for v in month[k]] for k in ("low", "middle", "high"))
    xs = [LEFT + PLOT_W * (hour + 0.5) / HOURS for hour in range(HOURS)]
    edge = [f"{n(x)},{n(_y(v))}" for x, v in zip(xs, high, strict=True)]
    edge += [f"{n(x)},{n(_y(v))}" for x, v in zip(reversed(xs), reversed(low), strict=True)]
    curve = [f"{n(x)},{n(_y(v))}" for x, v in zip(xs, middle, strict=True)]
    y = _y(floor)
    pieces = [
        f'<path class="area" d="M{" L".join(edge)} Z"/>',
        f'<path class="curve" d="M{" L".join(curve)}"/>',
        f'<path class="limit" d="M{n(LEFT)},{n(y)} H{n(LEFT + PLOT_W)}"/>',
        _text(LEFT + PLOT_W - 4, y - 4, "floor", "end"),
    ]
    pieces += [
        _text(LEFT + PLOT_W * hour / HOURS, HEIGHT - 9, f"{hour}{NBSP}h", "middle")
        for hour in range(0, HOURS + 1, 3)
    ]
    name = MONTHS[int(month["month"]) - 1]
    return _framed(f"State of charge by hour of the day in {name}, per cent", pieces)


def day(below_full_ah: Sequence[float], usable_ah: float | None, name: str) -> str:
    """What is missing from full after each hour; the usable part, where it is known, is marked."""
    most = max(*below_full_ah, usable_ah or 0.0) or 1.0
    step = PLOT_W / HOURS
    pieces = []
    for hour, below_ah in enumerate(below_full_ah):
        height = PLOT_H * below_ah / most
        is_over = usable_ah is not None and below_ah >= usable_ah
        pieces.append(
            f'<rect class="{"bar over" if is_over else "bar"}" x="{n(LEFT + hour * step)}" '
            f'y="{n(TOP)}" width="{n(step)}" height="{n(height)}"/>'
        )
    pieces += [
        _text(LEFT + PLOT_W * hour / HOURS, HEIGHT - 9, f"{hour}{NBSP}h", "middle")
        for hour in range(0, HOURS + 1, 3)
    ]
    if usable_ah is not None:
        y = TOP + PLOT_H * usable_ah / most
        pieces.append(f'<path class="limit" d="M{n(LEFT)},{n(y)} H{n(LEFT + PLOT_W)}"/>')
        pieces.append(_text(LEFT + PLOT_W - 4, y - 4, "floor", "end"))
    ticks = [(TOP, "full"), (TOP + PLOT_H, f"{-most:.0f}{NBSP}Ah".replace("-", MINUS))]
    pieces += [_text(LEFT - 6, y + 4, words, "end") for y, words in ticks]
    return _drawn(f"Missing from full after each hour, {name}, amp-hours", pieces)


def _y(share: float) -> float:
    return TOP + PLOT_H * (1.0 - share)


def _text(x: float, y: float, words: str, anchor: str) -> str:
    return f'<text x="{n(x)}" y="{n(y)}" text-anchor="{anchor}">{escape(words)}</text>'


def _framed(title: str, pieces: Sequence[str]) -> str:
    rules = [
        f'<path class="rule" d="M{n(LEFT)},{n(_y(p / 100))} H{n(LEFT + PLOT_W)}"/>'
        + _text(LEFT - 6, _y(p / 100) + 4, f"{p}{NBSP}%", "end")
        for p in PERCENTS
    ]
    return _drawn(title, [*rules, *pieces])


def _drawn(title: str, pieces: Sequence[str]) -> str:
    axis = f'<path class="axis" d="M{n(LEFT)},{n(TOP)} V{n(TOP + PLOT_H)} H{n(LEFT + PLOT_W)}"/>'
    return (
        f'<svg class="chart" role="img" viewBox="0 0 {n(WIDTH)} {n(HEIGHT)}">'
        f"<title>{escape(title)}</title>{''.join(pieces)}{axis}</svg>"
    )
