"""Charts of energy: the chance of reaching the floor by month, a day hour by hour."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.html import escape

from electrical.schematic.canvas import n
from electrical.year.ports import MONTHS

WIDTH, HEIGHT = 520.0, 210.0
LEFT, RIGHT, TOP, BOTTOM = 44.0, 44.0, 12.0, 26.0
PLOT_W, PLOT_H = WIDTH - LEFT - RIGHT, HEIGHT - TOP - BOTTOM
PERCENTS = (0, 25, 50, 75, 100)
HOURS = 24
NBSP = "\N{NO-BREAK SPACE}"


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
        # Beside the plot: a band may end anywhere on the line, or above it.
        _text(LEFT + PLOT_W + 6, y + 4, "floor", "start"),
    ]
    pieces += _clock()
    name = MONTHS[int(month["month"]) - 1]
    return _framed(f"State of charge by hour of the day in {name}, per cent", pieces)


def day(used_ah: Sequence[float], charged_ah: Sequence[float], name: str) -> str:
    """One day: what is charged in each hour stands on the axis, what is used hangs from it."""
    most = max(*used_ah, *charged_ah) or 1.0
    step, zero = PLOT_W / HOURS, TOP + PLOT_H / 2
    pieces = []
    for hour, (used, charged) in enumerate(zip(used_ah, charged_ah, strict=True)):
        up, down = (PLOT_H / 2 * ah / most for ah in (charged, used))
        x, width = n(LEFT + (hour + 0.12) * step), n(step * 0.76)
        for y, height in ((zero - up, up), (zero, down)):
            if height:
                pieces.append(
                    f'<rect class="bar" x="{x}" y="{n(y)}" width="{width}" height="{n(height)}"/>'
                )
    pieces.append(f'<path class="axis" d="M{n(LEFT)},{n(zero)} H{n(LEFT + PLOT_W)}"/>')
    pieces += _clock()
    size = f"{most:.0f}" if most >= 10.0 else f"{most:.1f}"
    for y, words in ((TOP, size), (zero, "0"), (TOP + PLOT_H, size)):
        pieces.append(_text(LEFT - 6, y + 4, f"{words}{NBSP}Ah" if words != "0" else "0", "end"))
    pieces.append(_text(LEFT + PLOT_W, TOP + 4, "charged", "end"))
    pieces.append(_text(LEFT + PLOT_W, TOP + PLOT_H - 4, "used", "end"))
    return _drawn(f"Charged and used in each hour, {name}, amp-hours", pieces)


def _clock() -> list[str]:
    return [
        _text(LEFT + PLOT_W * hour / HOURS, HEIGHT - 9, f"{hour}{NBSP}h", "middle")
        for hour in range(0, HOURS + 1, 3)
    ]


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
