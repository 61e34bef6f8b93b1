"""What stands left of the first bar: batteries, chargers, alternators, panels."""

from electrical.schematic import symbols
from electrical.schematic.canvas import SMALL_SIZE, TEXT_SIZE, Canvas
from electrical.schematic.content import Branch, Panel, Supply, Symbol
from electrical.schematic.text import drawable, wrapped

Named = Supply | Panel

EDGE = 28.0
BOX_W, PANEL_W, REGULATOR_W = 96.0, 74.0, 80.0
BOX_HEIGHT, BOX_LINE, BOX_LINES = 34.0, 13.0, 4
BETWEEN_PANELS = 8.0
BATTERY_ABOVE, BATTERY_BELOW = 38.0, 28.0


def reach_of(supply: Supply) -> tuple[float, float]:
    """Room above and below the line of a supply."""
    if supply.symbol is Symbol.BATTERY:
        return BATTERY_ABOVE, BATTERY_BELOW
    height = _regulator_height(supply) if supply.panels else _height(supply, BOX_W)
    return height / 2 + 3, height / 2 + 5


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
        _box(canvas, EDGE, y, BOX_W, supply)
        return
    with canvas.group(**circuit_group(supply.branch, selected)):
        reach = _height(supply, BOX_W) / 2 + 1
        canvas.rect(2, y - reach, bar_x - 8, 2 * reach, "hit")
        canvas.line(EDGE + BOX_W, y, bar_x, y)
        _box(canvas, EDGE, y, BOX_W, supply)
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
    box_x = EDGE + PANEL_W + 110
    count, pitch = len(supply.panels), _panel_pitch(supply)
    for index, panel in enumerate(supply.panels):
        at = y + (index - (count - 1) / 2) * pitch
        with canvas.group(**circuit_group(panel.branch, selected)):
            canvas.rect(2, at - pitch / 2 + 3, box_x - 4, pitch - 6, "hit")
            canvas.line(EDGE + PANEL_W, at, box_x, at)
            _box(canvas, EDGE, at, PANEL_W, panel)
            symbols.tag(canvas, EDGE + 80, at, panel.branch.tag)
            canvas.text(panel.branch.cable, EDGE + 78, at - 11, room=104, small=True)
            _mark(canvas, panel.branch, at)
    _box(canvas, box_x, y, REGULATOR_W, supply, height=_regulator_height(supply))
    if supply.branch is None:
        return
    with canvas.group(**circuit_group(supply.branch, selected)):
        begin = box_x + REGULATOR_W
        canvas.rect(begin + 2, y - 13, bar_x - begin - 10, 26, "hit")
        canvas.line(begin, y, bar_x, y)
        _draw_charge_run(canvas, supply.branch, begin + 8, y, bar_x)


def _box(
    canvas: Canvas, x: float, y: float, width: float, named: Named, *, height: float | None = None
) -> None:
    reach = (height or _height(named, width)) / 2
    canvas.rect(x, y - reach, width, 2 * reach)
    canvas.framed(named.label, x, y - reach, width, 2 * reach)
    first, *others = _lines(named, width)
    base = y - 2 - BOX_LINE * max(0, len(others) - 1) / 2
    canvas.text(first, x + 6, base, room=width - 10, classes="strong")
    for index, line in enumerate(others):
        canvas.text(line, x + 6, base + 14 + index * BOX_LINE, room=width - 10, small=True)


def _lines(named: Named, width: float) -> list[str]:
    """The label with as much of the name as fits beside it, then the rest in small lines."""
    words = drawable(f"{named.label} {named.name}")
    first, *more = wrapped(words, width - 10, TEXT_SIZE, bold=True, most=BOX_LINES)
    return [first, *wrapped(" ".join(more), width - 10, SMALL_SIZE, most=BOX_LINES - 1)]


def _height(named: Named, width: float) -> float:
    return BOX_HEIGHT + BOX_LINE * max(0, len(_lines(named, width)) - 2)


def _panel_pitch(supply: Supply) -> float:
    return max(_height(panel, PANEL_W) for panel in supply.panels) + BETWEEN_PANELS


def _regulator_height(supply: Supply) -> float:
    panels = BOX_HEIGHT + 2 + (len(supply.panels) - 1) * _panel_pitch(supply)
    tallest = len(supply.panels) * _panel_pitch(supply) - BETWEEN_PANELS
    return max(panels, tallest, _height(supply, REGULATOR_W))


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
