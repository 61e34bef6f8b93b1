"""What stands left of the first bar: batteries, chargers, alternators, panels."""

from electrical.schematic import symbols
from electrical.schematic.canvas import Canvas
from electrical.schematic.content import Branch, Supply, Symbol

Words = tuple[str, str]
"""Label and name."""

EDGE = 28.0
BOX_W = 96.0


def draw_supply(canvas: Canvas, supply: Supply, y: float, bar_x: float, selected: str) -> None:
    if supply.symbol is Symbol.BATTERY:
        _draw_battery(canvas, supply, y, bar_x, selected)
    elif supply.panels:
        _draw_regulator(canvas, supply, y, bar_x, selected)
    else:
        _draw_box(canvas, supply, y, bar_x, selected)


def _draw_battery(canvas: Canvas, supply: Supply, y: float, bar_x: float, selected: str) -> None:
    name_w = canvas.text(
        f"{supply.label} {supply.name}", EDGE, y - 24, room=bar_x - EDGE - 110, classes="strong"
    )
    room = bar_x - EDGE - name_w - 24
    canvas.text(supply.detail, EDGE + name_w + 12, y - 24, room=min(room, 120), small=True)
    if supply.branch is None:
        canvas.line(EDGE + 50, y, bar_x, y)
        symbols.battery(canvas, EDGE, y)
        return
    with canvas.group(**circuit_group(supply.branch, selected)):
        canvas.rect(2, y - 20, bar_x - 8, 42, "hit")
        canvas.line(EDGE + 50, y, bar_x, y)
        symbols.battery(canvas, EDGE, y)
        _mark(canvas, supply.branch, y)
        _draw_battery_run(canvas, supply.branch, EDGE + 66, y, bar_x)


def _draw_battery_run(canvas: Canvas, branch: Branch, x: float, y: float, bar_x: float) -> None:
    """The isolator stands behind the fuse, as near to the battery as practicable."""
    at = x
    if branch.fuse:
        symbols.fuse(canvas, at, y, branch.fuse)
    at += symbols.FUSE_W + 12
    if branch.switch:
        symbols.isolator(canvas, at, y, branch.switch)
        at += symbols.SWITCH_W + 12
    symbols.tag(canvas, at, y, branch.tag)
    at += symbols.TAG_W + 6
    if branch.wire:
        symbols.wire(canvas, at, y, branch.wire)
    at += symbols.WIRE_W + 7
    last = _draw_end_fuse(canvas, branch, y, bar_x)
    canvas.text(branch.cable, at, y - 4, room=last - at, small=True)


def _draw_box(canvas: Canvas, supply: Supply, y: float, bar_x: float, selected: str) -> None:
    if supply.branch is None:
        _box(canvas, EDGE, y, BOX_W, (supply.label, supply.name))
        return
    with canvas.group(**circuit_group(supply.branch, selected)):
        canvas.rect(2, y - 18, bar_x - 8, 36, "hit")
        canvas.line(EDGE + BOX_W, y, bar_x, y)
        _box(canvas, EDGE, y, BOX_W, (supply.label, supply.name))
        _mark(canvas, supply.branch, y)
        _draw_charge_run(canvas, supply.branch, EDGE + BOX_W + 8, y, bar_x)


def _draw_charge_run(canvas: Canvas, branch: Branch, x: float, y: float, bar_x: float) -> None:
    """A charging lead is protected where the battery feeds it: at the bar."""
    at = x
    if branch.fuse:
        symbols.fuse(canvas, at, y, branch.fuse)
        at += symbols.FUSE_W + 8
    symbols.tag(canvas, at, y, branch.tag)
    at += symbols.TAG_W + 6
    if branch.wire:
        symbols.wire(canvas, at, y, branch.wire)
    at += symbols.WIRE_W + 7
    last = _draw_end_fuse(canvas, branch, y, bar_x)
    canvas.text(branch.cable, at, y - 4, room=last - at, small=True)


def _draw_end_fuse(canvas: Canvas, branch: Branch, y: float, bar_x: float) -> float:
    """The device at the bar, where there is one; answers where the room before it ends."""
    if not branch.end_fuse:
        return bar_x - 10
    x = bar_x - symbols.FUSE_W - 12
    symbols.fuse(canvas, x, y, branch.end_fuse)
    return x - 14


def _draw_regulator(canvas: Canvas, supply: Supply, y: float, bar_x: float, selected: str) -> None:
    box_x = EDGE + 74 + 110
    count = len(supply.panels)
    for index, panel in enumerate(supply.panels):
        at = y + (index - (count - 1) / 2) * 42.0
        with canvas.group(**circuit_group(panel.branch, selected)):
            canvas.rect(2, at - 18, box_x - 4, 36, "hit")
            canvas.line(EDGE + 74, at, box_x, at)
            _box(canvas, EDGE, at, 74, (panel.label, panel.name))
            symbols.tag(canvas, EDGE + 80, at, panel.branch.tag)
            canvas.text(panel.branch.cable, EDGE + 78, at - 11, room=104, small=True)
            _mark(canvas, panel.branch, at)
    reach = 18 + (count - 1) * 21.0
    canvas.rect(box_x, y - reach, 80, 2 * reach)
    canvas.framed("regulator", box_x, y - reach, 80, 2 * reach)
    _box_text(canvas, box_x, y, 80, (supply.label, supply.name))
    if supply.branch is None:
        return
    with canvas.group(**circuit_group(supply.branch, selected)):
        canvas.rect(box_x + 82, y - 13, bar_x - box_x - 90, 26, "hit")
        canvas.line(box_x + 80, y, bar_x, y)
        _draw_charge_run(canvas, supply.branch, box_x + 88, y, bar_x)


def _box(canvas: Canvas, x: float, y: float, width: float, words: Words) -> None:
    canvas.rect(x, y - 17, width, 34)
    canvas.framed(words[0], x, y - 17, width, 34)
    _box_text(canvas, x, y, width, words)


def _box_text(canvas: Canvas, x: float, y: float, width: float, words: Words) -> None:
    label, name = words
    first, second = _two_lines(name, width - 14 - 8.0 * len(label))
    canvas.text(f"{label} {first}", x + 6, y - 2, room=width - 10, classes="strong")
    canvas.text(second, x + 6, y + 12, room=width - 10, small=True)


def _two_lines(name: str, room: float) -> tuple[str, str]:
    """Break a name after the word that still fits beside the label."""
    words = name.split()
    taken: list[str] = []
    while words and len(" ".join([*taken, words[0]])) * 7.2 <= room:
        taken.append(words.pop(0))
    return " ".join(taken), " ".join(words)


def _mark(canvas: Canvas, branch: Branch, y: float) -> None:
    symbols.mark(canvas, 14, y, branch.mark, branch.mark_number)


def circuit_group(branch: Branch, selected: str) -> dict[str, str]:
    return {
        "class_": "circuit on" if branch.tag == selected else "circuit",
        "data-circuit": branch.tag,
        "tabindex": "0",
        "role": "button",
        "aria-label": f"{branch.tag} {branch.name}",
    }
