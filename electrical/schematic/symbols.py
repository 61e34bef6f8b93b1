"""Graphic symbols after IEC 60617, drawn on the line at height `y`, starting at `x`.

The forms are from memory, to be checked: fuse, isolator, battery, lamp, motor, heating
element, converter, socket outlet, audible alarm, general apparatus.
"""

from html import escape

from electrical.schematic.canvas import Canvas
from electrical.schematic.content import Symbol

FUSE_W = 26.0
TAG_W = 40.0
WIRE_W = 26.0
SWITCH_W = 26.0
MARK_W = 22.0
SYMBOL_W = 24.0


def fuse(canvas: Canvas, x: float, y: float, rating: str) -> None:
    canvas.rect(x, y - 5, FUSE_W, 10)
    canvas.line(x, y, x + FUSE_W, y, "line thin")
    canvas.taken(f"fuse {rating}", x, y - 5, FUSE_W, 10)
    canvas.text(rating, x + FUSE_W / 2, y - 8, room=34, small=True, anchor="middle")


def tag(canvas: Canvas, x: float, y: float, text: str) -> None:
    canvas.path(f"M{x:.1f},{y - 8:.1f} h33 l7,8 l-7,8 h-33z", "label-tag")
    canvas.taken("tag", x, y - 8, TAG_W, 16)
    canvas.pieces.append(
        f'<text class="strong middle" x="{x + 17.5:.1f}" y="{y + 4.4:.1f}">{escape(text)}</text>'
    )


def wire(canvas: Canvas, x: float, y: float, colour: str) -> None:
    """A short piece of the cable in its colour, always outlined."""
    canvas.rect(x, y - 2.6, WIRE_W, 5.2, "wire-piece", fill=colour)
    canvas.taken("wire", x, y - 2.6, WIRE_W, 5.2)


def isolator(canvas: Canvas, x: float, y: float, label: str) -> None:
    canvas.rect(x, y - 3, SWITCH_W - 2, 6, "gap")
    canvas.circle(x, y, 2.6, "dot")
    canvas.line(x, y, x + SWITCH_W - 3, y - 10)
    canvas.circle(x + SWITCH_W, y, 2.6, "dot")
    canvas.taken("isolator", x - 2.6, y - 10, SWITCH_W + 5.2, 11.4)
    canvas.text(label, x + SWITCH_W / 2, y + 11.2, room=32, small=True, anchor="middle")


def battery(canvas: Canvas, x: float, y: float) -> None:
    """Two cells, their negative to the return."""
    cells = f"M{x + 20:.1f},{y - 6:.1f} v12 M{x + 28:.1f},{y - 11:.1f} v22"
    cells += f" M{x + 36:.1f},{y - 6:.1f} v12 M{x + 44:.1f},{y - 11:.1f} v22"
    canvas.path(f"{cells} M{x + 44:.1f},{y:.1f} h12")
    canvas.path(f"M{x + 20:.1f},{y:.1f} H{x + 4:.1f} V{y + 13:.1f}", "line thin")
    canvas.circle(x + 4, y + 16, 3.2)
    canvas.taken("battery", x, y - 11, 56, 30.4)


def mark(canvas: Canvas, x: float, y: float, kind: str, number: str) -> None:
    """Verdict shape with the number of its finding: octagon, triangle, square, diamond."""
    shapes = {
        "stop": f"M{x - 4:.1f},{y - 9.5:.1f} h8 l5.5,5.5 v8 l-5.5,5.5 h-8 l-5.5,-5.5 v-8z",
        "attention": f"M{x:.1f},{y - 11:.1f} L{x + 11:.1f},{y + 9:.1f} H{x - 11:.1f}Z",
        "note": f"M{x - 8.5:.1f},{y - 8.5:.1f} h17 v17 h-17z",
        "cannot-tell": f"M{x:.1f},{y - 11:.1f} l11,11 l-11,11 l-11,-11z",
    }
    if kind not in shapes:
        return
    drop = 6.5 if kind == "attention" else 4.0
    canvas.path(shapes[kind], f"mark-{kind}")
    canvas.taken("mark", x - 11, y - 11, MARK_W, 22)
    text = f'<text class="mark-number" x="{x:.1f}" y="{y + drop:.1f}">{escape(number)}</text>'
    canvas.pieces.append(text)


def end_symbol(canvas: Canvas, kind: Symbol, x: float, y: float) -> None:
    canvas.taken(kind.value, x, y - 9, SYMBOL_W, 18)
    _DRAW.get(kind, _apparatus)(canvas, x, y)


def _lamp(canvas: Canvas, x: float, y: float) -> None:
    canvas.circle(x + 9, y, 9)
    cross = f"M{x + 2.6:.1f},{y - 6.4:.1f} l12.8,12.8 M{x + 15.4:.1f},{y - 6.4:.1f} l-12.8,12.8"
    canvas.path(cross, "line thin")


def _motor(canvas: Canvas, x: float, y: float) -> None:
    canvas.circle(x + 9, y, 9)
    canvas.pieces.append(f'<text class="strong middle" x="{x + 9:.1f}" y="{y + 4.4:.1f}">M</text>')


def _heater(canvas: Canvas, x: float, y: float) -> None:
    canvas.rect(x, y - 6, 24, 12)
    bars = " ".join(f"M{x + step:.1f},{y - 6:.1f} v12" for step in (5, 10, 15, 20))
    canvas.path(bars, "line thin")


def _outlet(canvas: Canvas, x: float, y: float) -> None:
    canvas.path(f"M{x + 16:.1f},{y - 9:.1f} a9,9 0 0 0 0,18z", "box")
    canvas.path(f"M{x:.1f},{y:.1f} h7 M{x + 16:.1f},{y - 9:.1f} v18", "line thin")


def _alarm(canvas: Canvas, x: float, y: float) -> None:
    canvas.path(f"M{x + 2:.1f},{y - 8:.1f} h5 a9,8 0 0 1 0,16 h-5z", "box")


def _apparatus(canvas: Canvas, x: float, y: float) -> None:
    canvas.rect(x, y - 8, 22, 16)


def _converter(canvas: Canvas, x: float, y: float) -> None:
    canvas.rect(x, y - 8, 22, 16)
    canvas.line(x, y + 8, x + 22, y - 8, "line thin")


def _inverter(canvas: Canvas, x: float, y: float) -> None:
    _converter(canvas, x, y)
    canvas.path(f"M{x + 12:.1f},{y + 4:.1f} q2,-4 4,0 t4,0", "line thin")


def _point(canvas: Canvas, x: float, y: float) -> None:
    canvas.circle(x + 4, y, 3, "dot")


def _source(canvas: Canvas, x: float, y: float) -> None:
    canvas.rect(x, y - 8, 22, 16)
    canvas.path(f"M{x + 15:.1f},{y - 4:.1f} l-8,4 l8,4", "line thin")


def _battery_end(canvas: Canvas, x: float, y: float) -> None:
    plates = f"M{x + 6:.1f},{y - 6:.1f} v12 M{x + 12:.1f},{y - 9:.1f} v18"
    canvas.path(f"{plates} M{x:.1f},{y:.1f} h6 M{x + 12:.1f},{y:.1f} h8")


_DRAW = {
    Symbol.LAMP: _lamp,
    Symbol.MOTOR: _motor,
    Symbol.HEATER: _heater,
    Symbol.OUTLET: _outlet,
    Symbol.ALARM: _alarm,
    Symbol.CONVERTER: _converter,
    Symbol.INVERTER: _inverter,
    Symbol.POINT: _point,
    Symbol.SOURCE: _source,
    Symbol.BATTERY: _battery_end,
}
