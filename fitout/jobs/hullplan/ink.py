"""How each kind of line looks: a class on screen, the attributes themselves in print."""

from __future__ import annotations

from dataclasses import dataclass

# Every vessel is drawn this many units long, so that lines and letters look alike on all.
UNITS_LONG = 860.0

PAPER, SHEET, SEA = "#FBF9F2", "#FFFFFF", "#C3D8DC"
INK, INK2, INK3, MAGENTA = "#13212B", "#47545B", "#5F6768", "#94187A"

Attributes = dict[str, str | float]


def stroked(colour: str, width: float, *, fill: str = "none", dashes: str = "") -> Attributes:
    found: Attributes = {"fill": fill, "stroke": colour, "stroke_width": width}
    if dashes:
        found["stroke_dasharray"] = dashes
    return found


def worded(colour: str, size: float, **more: str) -> Attributes:
    return {
        "fill": colour,
        "font_family": "Asap Condensed, sans-serif",
        "font_size": size,
        "text_anchor": "middle",
        **more,
    }


# Class on screen, attributes in print.
LOOKS: dict[str, tuple[str, Attributes]] = {
    "hull": ("hull", {"fill": SHEET}),
    "house": ("outline house", stroked(INK, 2.2, fill=PAPER)),
    "outline": ("line hull", stroked(INK, 1.1, fill=SHEET)),
    "firm": ("outline", stroked(INK, 2.2)),
    "thin": ("line", stroked(INK, 1.1)),
    "faint": ("detail", stroked(INK3, 0.9)),
    "dashed": ("hidden-edge", stroked(INK3, 0.9, dashes="5 4")),
    "level": ("waterline", stroked(INK2, 1.0, dashes="2 4")),
    "sea": ("sea", {"fill": SEA}),
    "zone": ("zone-box", {"fill": "none"}),
    "zone-in-hand": ("zone-box", {**stroked(MAGENTA, 3.0, fill=MAGENTA), "fill_opacity": 0.18}),
    "cableway": ("cableway", stroked(MAGENTA, 2.6, dashes="11 6")),
    "cableway-name": (
        "cableway-name",
        worded(MAGENTA, 17.0, font_style="italic", font_weight="600"),
    ),
    "marker": ("marker", stroked(SHEET, 2.0, fill=INK)),
    "node": ("node", stroked(MAGENTA, 1.6, fill=SHEET)),
    "zone-code": ("zone-code", worded(INK, 25.0, font_weight="600")),
    "dimension": ("dimension", worded(INK2, 20.0)),
    "bar": ("scale-box", stroked(INK, 1.0, fill=SHEET)),
    "bar-ink": ("scale-ink", {"fill": INK}),
}


@dataclass(frozen=True)
class Ink:
    for_print: bool
    small: bool

    @property
    def letter(self) -> float:
        return 40.0 if self.small else 25.0

    @property
    def word(self) -> float:
        return 32.0 if self.small else 20.0

    @property
    def marker(self) -> float:
        return 9.0 if self.small else 6.0

    @property
    def bar_room(self) -> float:
        return 9 + self.word * 1.2 + 12

    def __call__(self, look: str, *, extra: str = "") -> Attributes:
        name, printed = LOOKS[look]
        if self.for_print:
            return dict(printed)
        return {"class_": f"{name} {extra}".strip()}
