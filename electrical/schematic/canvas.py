"""SVG pieces under construction; remembers what room each one takes."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from html import escape

from electrical.schematic.text import drawable, fitted, width_of

TEXT_SIZE = 13.2
SMALL_SIZE = 12.0
ASCENT, DESCENT = 0.78, 0.22


@dataclass(frozen=True)
class Box:
    """Room taken by a text or a symbol."""

    kind: str
    x: float
    y: float
    width: float
    height: float
    what: str = ""

    def overlaps(self, other: "Box", slack: float = 0.25) -> bool:
        return (
            self.x + slack < other.x + other.width
            and other.x + slack < self.x + self.width
            and self.y + slack < other.y + other.height
            and other.y + slack < self.y + self.height
        )


@dataclass
class Canvas:
    pieces: list[str] = field(default_factory=list)
    boxes: list[Box] = field(default_factory=list)

    def taken(self, what: str, x: float, y: float, width: float, height: float) -> None:
        """Remember the room of a symbol."""
        self.boxes.append(Box("symbol", x, y, width, height, what))

    def framed(self, what: str, x: float, y: float, width: float, height: float) -> None:
        """Remember the room of a box that texts stand in."""
        self.boxes.append(Box("box", x, y, width, height, what))

    def path(self, d: str, classes: str = "line") -> None:
        self.pieces.append(f'<path class="{classes}" d="{d}"/>')

    def line(self, x1: float, y1: float, x2: float, y2: float, classes: str = "line") -> None:
        self.path(f"M{n(x1)},{n(y1)} L{n(x2)},{n(y2)}", classes)

    def rect(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        classes: str = "box",
        *,
        fill: str = "",
    ) -> None:
        colour = f' fill="{escape(fill)}"' if fill else ""
        self.pieces.append(
            f'<rect class="{classes}" x="{n(x)}" y="{n(y)}" '
            f'width="{n(width)}" height="{n(height)}"{colour}/>'
        )

    def circle(self, x: float, y: float, radius: float, classes: str = "box") -> None:
        self.pieces.append(f'<circle class="{classes}" cx="{n(x)}" cy="{n(y)}" r="{n(radius)}"/>')

    def text(
        self,
        text: str,
        x: float,
        y: float,
        *,
        room: float,
        classes: str = "",
        small: bool = False,
        anchor: str = "start",
    ) -> float:
        """Draw a text no wider than `room`; return the width it takes."""
        size = SMALL_SIZE if small else TEXT_SIZE
        bold = "strong" in classes
        shown = fitted(text, room, size, bold=bold)
        if not shown:
            return 0.0
        width = width_of(shown, size, bold=bold)
        names = [*classes.split(), *(["small"] if small else [])]
        names += {"middle": ["middle"], "end": ["end"]}.get(anchor, [])
        attribute = f' class="{" ".join(names)}"' if names else ""
        whole = drawable(text)
        title = f"<title>{escape(whole)}</title>" if shown != whole else ""
        self.pieces.append(f'<text{attribute} x="{n(x)}" y="{n(y)}">{escape(shown)}{title}</text>')
        left = x - {"middle": width / 2, "end": width}.get(anchor, 0.0)
        top, height = y - ASCENT * size, (ASCENT + DESCENT) * size
        self.boxes.append(Box("text", left, top, width, height, shown))
        return width

    @contextmanager
    def group(self, **attributes: str) -> Iterator[None]:
        shown = "".join(
            f' {name.rstrip("_").replace("_", "-")}="{escape(drawable(value))}"'
            for name, value in attributes.items()
            if value
        )
        self.pieces.append(f"<g{shown}>")
        yield
        self.pieces.append("</g>")


def n(value: float) -> str:
    """A coordinate without idle decimals."""
    return f"{value:.1f}".removesuffix(".0")
