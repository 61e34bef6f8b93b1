"""Outlines of what stands on wheels, and the table of all outlines."""

from .shapes import (
    DAYBOAT_SIDE,
    DAYBOAT_TOP,
    LAUNCH_SIDE,
    LAUNCH_TOP,
    WORKBOAT_SIDE,
    WORKBOAT_TOP,
    Outline,
    Shape,
    both,
    circle,
)


def wheel(along: float, radius_m: float) -> tuple[Shape, Shape]:
    return (
        circle("outline", along, -0.14, radius_m),
        circle("faint", along, -0.14, radius_m * 0.55),
    )


VAN_SIDE = Outline(
    hull="M .012 -.18 L .012 1.7 C .012 1.95 .03 2 .06 2 L .66 2 C .7 2 .72 1.95 .74 1.8 "
    "L .82 1.03 L .95 .76 C .985 .66 1 .55 1 .3 L 1 -.18 L .89 -.18 "
    "C .89 .26 .75 .26 .75 -.18 L .27 -.18 C .27 .26 .13 .26 .13 -.18 Z",
    over=(
        *wheel(0.2, 0.33),
        *wheel(0.82, 0.33),
        Shape("faint", "M .38 -.12 L .38 1.93 M .645 -.12 L .645 1.93 M .05 -.1 L .05 1.93"),
        Shape("faint", "M .07 .9 L .37 .9"),
        Shape("outline", "M .67 1.02 L .67 1.72 L .722 1.72 L .796 1.05 Z"),
        Shape("outline", "R .42 1.16 .61 1.64"),
        Shape("outline", "R .12 1.24 .3 1.6"),
        Shape("faint", "M .685 .8 L .71 .8 M .66 .86 L .8 .9 L .87 .3"),
        Shape("dashed", "M .36 0 L .36 1.9 M .03 .75 L .36 .75"),
    ),
    afloat=False,
)
VAN_TOP = Outline(
    hull="M .012 -.9 C .012 -.97 .02 -1 .04 -1 L .8 -1 C .93 -1 .98 -.85 1 -.5 "
    "C 1.005 -.2 1.005 .2 1 .5 C .98 .85 .93 1 .8 1 L .04 1 C .02 1 .012 .97 .012 .9 Z",
    over=(
        Shape("faint", "M .025 -.93 L .8 -.93 M .025 .93 L .8 .93 M .025 -.93 L .025 .93"),
        Shape("thin", "M .8 -.93 C .85 -.5 .85 .5 .8 .93"),
        Shape("faint", "M .86 -.88 C .9 -.5 .9 .5 .86 .88"),
        both("outline", "M .765 1 L .76 1.16 L .79 1.16 L .795 1 Z"),
        Shape("house", "R .04 -.9 .35 .9"),
        Shape("faint", "M .29 -.9 L .29 .9 M .04 0 L .29 0"),
        Shape("outline", "R .4 .46 .63 .93"),
        circle("faint", 0.46, 0.7, 0.16),
        Shape("faint", "R .54 .54 .61 .86"),
        both("outline", "R .68 .24 .76 .78"),
        circle("faint", 0.785, 0.5, 0.18),
    ),
    afloat=False,
)

CARAVAN_SIDE = Outline(
    hull="M .02 -.08 C .01 1 .015 1.7 .05 1.94 C .06 1.98 .08 2 .1 2 L .68 2 "
    "C .77 1.98 .79 1.5 .8 1 L .815 -.08 L .49 -.08 C .49 .3 .35 .3 .35 -.08 Z",
    under=(
        Shape("firm", "M .8 -.06 L .985 .04 M .985 .04 L 1 .12"),
        Shape("thin", "M .94 .02 L .94 -.32"),
    ),
    over=(
        *wheel(0.42, 0.3),
        Shape("outline", "R .08 1.1 .24 1.62"),
        Shape("outline", "R .55 1.1 .72 1.62"),
        Shape("thin", "M .3 0 L .3 1.75 L .4 1.75 L .4 .3"),
        Shape("outline", "R .32 1.2 .38 1.6"),
        Shape("faint", "M .03 .5 L .34 .5 M .5 .5 L .805 .5"),
        Shape("outline", "M .82 0 L .82 .55 L .88 .5 L .92 .1 Z"),
    ),
    afloat=False,
)
CARAVAN_TOP = Outline(
    hull="M .02 -.92 C .02 -.98 .03 -1 .05 -1 L .74 -1 C .79 -1 .8 -.8 .81 -.5 L .81 .5 "
    "C .8 .8 .79 1 .74 1 L .05 1 C .03 1 .02 .98 .02 .92 Z",
    under=(both("firm", "M .8 .55 L .99 .03"), Shape("firm", "M .97 0 L 1 0")),
    over=(
        Shape("outline", "M .82 -.4 L .9 -.22 L .9 .22 L .82 .4 Z"),
        Shape("faint", "M .035 -.93 L .74 -.93 M .035 .93 L .74 .93 M .035 -.93 L .035 .93"),
        Shape("house", "R .04 -.9 .28 -.06"),
        Shape("thin", "M .3 .93 L .3 .06 L .04 .06"),
        both("outline", "R .57 .42 .78 .9"),
        Shape("outline", "R .32 -.92 .54 -.5"),
        circle("faint", 0.38, -0.7, 0.15),
        Shape("outline", "R .4 .7 .5 .92"),
    ),
    afloat=False,
)

OFFROAD_SIDE = Outline(
    hull="M .01 -.2 L .01 1.9 C .01 1.97 .02 2 .04 2 L .58 2 C .61 2 .63 1.95 .64 1.88 "
    "L .7 1.05 L .95 .94 C .98 .92 .99 .85 .99 .75 L .99 -.2 L .89 -.2 "
    "C .89 .4 .72 .4 .72 -.2 L .27 -.2 C .27 .4 .1 .4 .1 -.2 Z",
    over=(
        *wheel(0.185, 0.37),
        *wheel(0.805, 0.37),
        Shape("faint", "M .36 -.1 L .36 1.95 M .53 -.1 L .53 1.95 M .71 -.1 L .71 1"),
        Shape("outline", "R .39 1.1 .51 1.82"),
        Shape("outline", "M .55 1.1 L .55 1.82 L .61 1.82 L .67 1.1 Z"),
        Shape("outline", "R .06 1.1 .33 1.8"),
        Shape(
            "thin", "M .06 2.05 L .58 2.05 M .1 2 L .1 2.05 M .32 2 L .32 2.05 M .54 2 L .54 2.05"
        ),
        Shape("firm", "M .99 .1 L 1.01 .1 L 1.01 .7"),
    ),
    afloat=False,
)
OFFROAD_TOP = Outline(
    hull="M .01 -.95 C .01 -.99 .02 -1 .03 -1 L .9 -1 C .96 -1 .98 -.9 .99 -.7 L .99 .7 "
    "C .98 .9 .96 1 .9 1 L .03 1 C .02 1 .01 .99 .01 .95 Z",
    over=(
        Shape("house", "M .03 -.88 L .62 -.88 L .62 .88 L .03 .88 Z"),
        Shape("thin", "M .36 -.88 L .36 .88 M .62 -.88 C .7 -.5 .7 .5 .62 .88"),
        Shape("faint", "M .72 -.9 C .74 -.5 .74 .5 .72 .9 M .97 -.8 L .97 .8"),
        both("outline", "R .44 .2 .53 .76"),
        both("outline", "M .66 1 L .655 1.14 L .68 1.14 L .685 1 Z"),
        Shape("firm", "M 1.008 -.85 L 1.008 .85"),
    ),
    afloat=False,
)

# Template of the vessel to its profile and its deck plan.
OUTLINES: dict[str, tuple[Outline, Outline]] = {
    "workboat": (WORKBOAT_SIDE, WORKBOAT_TOP),
    "launch": (LAUNCH_SIDE, LAUNCH_TOP),
    "dayboat": (DAYBOAT_SIDE, DAYBOAT_TOP),
    "van": (VAN_SIDE, VAN_TOP),
    "caravan": (CARAVAN_SIDE, CARAVAN_TOP),
    "offroad": (OFFROAD_SIDE, OFFROAD_TOP),
}


def outlines_for(template: str) -> tuple[Outline, Outline]:
    return OUTLINES.get(template, OUTLINES["launch"])
