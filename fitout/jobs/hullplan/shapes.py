"""Outlines of vessels, written in the fractions of `scale`, drawn to the vessel's own size.

A shape is a small path: M, L, C, Z as in SVG, and R for a rectangle between two corners.
Each pair is (along, up) in a profile and (along, across) in a deck plan.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

Place = Callable[[float, float], tuple[float, float]]


@dataclass(frozen=True)
class Shape:
    """`look` names the line: hull, house, firm, thin, faint, dashed."""

    look: str
    path: str
    mirrored: bool = False
    radius_m: float = 0.0


@dataclass(frozen=True)
class Outline:
    """What is drawn below the zones, the hull that clips them, and what is drawn above."""

    hull: str
    under: tuple[Shape, ...] = ()
    over: tuple[Shape, ...] = ()
    afloat: bool = True


def both(look: str, path: str) -> Shape:
    return Shape(look, path, mirrored=True)


def circle(look: str, along: float, other: float, radius_m: float) -> Shape:
    return Shape(look, f"{along} {other}", radius_m=radius_m)


def drawn(path: str, place: Place, *, flip: bool = False) -> str:
    """The path in the drawing's own units."""
    words = path.split()
    out: list[str] = []
    at = 0
    while at < len(words):
        command = words[at]
        at += 1
        numbers = []
        while at < len(words) and not words[at].isalpha():
            numbers.append(float(words[at]))
            at += 1
        if flip:
            numbers = [-n if i % 2 else n for i, n in enumerate(numbers)]
        out.append(_command(command, numbers, place))
    return " ".join(out)


def _command(command: str, numbers: list[float], place: Place) -> str:
    if command == "R":
        left, low, right, high = numbers
        corners = [(left, low), (right, low), (right, high), (left, high)]
        return "M" + " L".join(_pair(place(*corner)) for corner in corners) + " Z"
    pairs = [_pair(place(*numbers[i : i + 2])) for i in range(0, len(numbers), 2)]
    return command + " ".join(pairs)


def _pair(point: tuple[float, float]) -> str:
    return f"{point[0]:.1f},{point[1]:.1f}"


OUTBOARD_SIDE = (
    Shape(
        "outline",
        "M -.014 1.08 C -.016 1.15 -.03 1.16 -.035 1.16 L -.072 1.13 "
        "C -.086 1.11 -.088 1.05 -.086 1 L -.08 .86 L -.016 .86 Z",
    ),
    Shape(
        "outline",
        "M -.07 .86 L -.063 0 C -.061 -.09 -.05 -.1 -.046 -.09 L -.032 -.06 L -.026 .86 Z",
    ),
    Shape("faint", "M -.074 .16 L -.022 .16 M -.07 .5 L -.026 .5"),
)


def outboard_above(across: float) -> Shape:
    """A cowl seen from above, centred at `across`; drawn at both sides unless on the centreline."""
    low, high = across - 0.15, across + 0.15
    path = (
        f"M -.009 {low} L -.053 {low - 0.02} C -.082 {low} -.088 {low + 0.05} -.088 {across} "
        f"C -.088 {high - 0.05} -.082 {high} -.053 {high + 0.02} L -.009 {high} Z"
    )
    return Shape("outline", path, mirrored=across != 0)


WORKBOAT_SIDE = Outline(
    hull="M 0 .03 L .72 0 C .82 .01 .89 .2 .925 .42 L 1 .93 L .998 1.07 C .8 1.03 .5 .97 0 .93 Z",
    under=OUTBOARD_SIDE,
    over=(
        Shape("faint", "M 0 .87 C .5 .9 .8 .97 .997 1"),
        Shape("dashed", "M .105 .58 L .835 .58 M .835 1 L .835 .12"),
        Shape("thin", "M .925 .42 L .945 1.04"),
        Shape("faint", "M .5 .97 L .5 1.27 L .74 1.27 L .74 1.01 M .58 .98 L .58 1.27"),
        Shape("faint", "M .66 1 L .66 1.27 M .03 .93 L .03 1.24 L .19 1.24 L .19 .94"),
        Shape("faint", "M .11 .93 L .11 1.24"),
        circle("thin", 0.862, 0.24, 0.11),
        Shape("thin", "M .612 .99 L .612 1.62 L .695 1.78 M .62 .99 L .62 1.6 L .698 1.76"),
        Shape("faint", "M .616 1.4 L .664 1.71 M .696 1.77 L .696 1.6"),
        circle("faint", 0.696, 1.585, 0.04),
        Shape("house", "M .215 .95 L .215 1.72 L .436 1.72 L .475 1.3 L .475 .97 Z"),
        Shape("thin", "R .231 1.36 .3 1.64"),
        Shape("thin", "M .319 1.64 L .422 1.64 L .452 1.36 L .319 1.36 Z"),
        Shape("faint", "M .215 1.14 L .3 1.14 L .3 .96"),
        Shape("outline", "M .2 1.72 L .46 1.72 L .45 1.76 L .2 1.76 Z"),
        Shape("thin", "M .258 1.76 L .258 2 M .25 1.96 L .266 1.96 M .272 1.76 L .258 1.88"),
    ),
)
WORKBOAT_TOP = Outline(
    hull="M 0 -.95 L .12 -1 L .72 -1 C .85 -1 .93 -.86 1 -.66 L 1 .66 "
    "C .93 .86 .85 1 .72 1 L .12 1 L 0 .95 Z",
    under=(outboard_above(0.43),),
    over=(
        Shape(
            "faint",
            "M .01 -.88 L .12 -.935 L .72 -.935 C .845 -.935 .925 -.8 .99 -.6 L .99 .6 "
            "C .925 .8 .845 .935 .72 .935 L .12 .935 L .01 .88 Z",
        ),
        Shape("thin", "M .105 -.935 L .105 .935"),
        Shape("dashed", "M .835 -.86 L .835 .86"),
        Shape("faint", "M .979 -.56 L .979 .56 M .965 -.58 L .965 .58"),
        Shape("faint", "R .58 -.24 .66 .24"),
        both("faint", "R .118 .19 .203 .63"),
        circle("thin", 0.616, 0.74, 0.13),
        Shape("dashed", "M .616 .74 L .69 .4"),
        Shape(
            "house",
            "M .215 -.68 L .45 -.68 L .475 -.49 L .475 .49 L .45 .68 L .215 .68 Z",
        ),
        Shape("thin", "M .3 -.68 L .3 .68"),
        Shape("faint", "M .44 -.55 L .44 .55"),
        both("faint", "R .358 .13 .405 .44"),
    ),
)

LAUNCH_SIDE = Outline(
    hull="M 0 .14 L .55 0 C .78 .02 .9 .4 1 1.05 C .75 .98 .4 .9 0 .9 Z",
    under=(
        Shape("thin", "M .02 .5 L .005 -.04 L .045 -.04 L .05 .3"),
        Shape("thin", "M .16 .1 L .068 .05 M .068 .16 L .068 -.06"),
    ),
    over=(
        Shape("faint", "M 0 .82 C .4 .83 .75 .9 .985 .97"),
        Shape("dashed", "M .1 .55 L .4 .55 M .4 .9 L .4 .12 M .82 .97 L .82 .3"),
        Shape("faint", "M .02 .9 L .02 1.2 L .3 1.2 L .3 .91 M .16 .9 L .16 1.2"),
        Shape("faint", "M .84 1 L .86 1.26 L .98 1.3 L .985 1.05 M .92 1.02 L .92 1.28"),
        Shape("outline", "M .6 .94 L .6 1.14 L .77 1.14 C .8 1.12 .82 1.06 .825 1 Z"),
        Shape(
            "thin",
            "M .64 1.09 L .7 1.09 L .7 1.02 L .64 1.02 Z M .72 1.09 L .77 1.08 L .78 1.02 L .72 1.02 Z",
        ),
        Shape("house", "M .4 .93 L .41 1.75 L .565 1.75 L .615 1.35 L .62 .96 Z"),
        Shape("thin", "R .425 1.34 .49 1.66"),
        Shape("thin", "M .505 1.66 L .555 1.66 L .592 1.34 L .505 1.34 Z"),
        Shape("outline", "M .385 1.75 L .6 1.75 L .59 1.79 L .385 1.79 Z"),
        Shape("thin", "M .46 1.79 L .46 2 M .45 1.95 L .47 1.95"),
    ),
)
LAUNCH_TOP = Outline(
    hull="M 0 -.86 C .2 -.97 .45 -1.01 .62 -.93 C .8 -.83 .93 -.42 1 0 "
    "C .93 .42 .8 .83 .62 .93 C .45 1.01 .2 .97 0 .86 Z",
    over=(
        Shape(
            "faint",
            "M .012 -.79 C .2 -.9 .45 -.94 .61 -.86 C .78 -.76 .9 -.4 .972 0 "
            "C .9 .4 .78 .76 .61 .86 C .45 .94 .2 .9 .012 .79 Z",
        ),
        Shape("thin", "M .1 -.84 L .1 .84"),
        Shape("dashed", "M .82 -.6 L .82 .6"),
        Shape("faint", "R .19 -.42 .37 .42"),
        Shape("thin", "M .61 -.62 C .74 -.58 .81 -.34 .82 0 C .81 .34 .74 .58 .61 .62"),
        circle("faint", 0.73, 0, 0.2),
        Shape("faint", "M .9 -.1 L .97 0 L .9 .1"),
        Shape("house", "M .4 -.7 L .6 -.66 L .62 -.48 L .62 .48 L .6 .66 L .4 .7 Z"),
        Shape("faint", "M .585 -.55 L .585 .55"),
        both("faint", "R .49 .16 .54 .48"),
    ),
)

DAYBOAT_SIDE = Outline(
    hull="M 0 .1 L .6 0 C .8 .02 .92 .42 1 1.08 C .75 1 .4 .92 0 .9 Z",
    under=OUTBOARD_SIDE,
    over=(
        Shape("faint", "M 0 .82 C .4 .84 .75 .92 .985 1"),
        Shape("dashed", "M .12 .45 L .8 .45 M .12 .9 L .12 .12 M .8 .99 L .8 .3"),
        Shape("faint", "M .7 1 L .72 1.3 L .97 1.36 L .985 1.08 M .82 1.02 L .83 1.33"),
        Shape("house", "M .44 .93 L .45 1.36 L .53 1.36 L .57 1.18 L .575 .95 Z"),
        Shape("thin", "M .5 1.36 L .54 1.72 L .556 1.72 L .57 1.18"),
        Shape("thin", "M .46 1.36 L .46 2 M .452 1.93 L .468 1.93"),
        Shape("outline", "M .34 .92 L .34 1.32 L .36 1.32 L .37 1.12 L .41 1.1 L .41 .93 Z"),
        Shape("faint", "M .6 .96 L .6 1.08 L .68 1.1"),
    ),
)
DAYBOAT_TOP = Outline(
    hull="M 0 -.92 C .2 -.99 .5 -1.01 .66 -.9 C .82 -.78 .94 -.4 1 0 "
    "C .94 .4 .82 .78 .66 .9 C .5 1.01 .2 .99 0 .92 Z",
    under=(outboard_above(0),),
    over=(
        Shape(
            "faint",
            "M .012 -.84 C .2 -.91 .5 -.93 .65 -.83 C .8 -.71 .91 -.38 .97 0 "
            "C .91 .38 .8 .71 .65 .83 C .5 .93 .2 .91 .012 .84 Z",
        ),
        Shape("thin", "M .12 -.88 L .12 .88"),
        Shape("dashed", "M .8 -.66 L .8 .66"),
        both("faint", "M .6 .85 C .72 .78 .76 .68 .79 .5 L .76 .3 C .72 .48 .68 .55 .6 .6 Z"),
        Shape("faint", "R .14 -.85 .24 .85"),
        Shape("house", "M .44 -.42 L .55 -.42 L .58 -.28 L .58 .28 L .55 .42 L .44 .42 Z"),
        Shape("faint", "M .47 -.36 L .47 .36"),
        both("faint", "R .345 .06 .4 .34"),
        circle("faint", 0.87, 0, 0.14),
    ),
)
