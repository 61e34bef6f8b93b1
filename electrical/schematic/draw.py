"""Draw a placed sheet as SVG: classes from the stylesheet on screen, own colours in print."""

from html import escape

from electrical.schematic import symbols
from electrical.schematic.canvas import Canvas, n
from electrical.schematic.content import Block, Branch
from electrical.schematic.layout import (
    ALONE_W,
    PITCH,
    TITLE_LINE,
    TITLE_W,
    Columns,
    Lead,
    PlacedBar,
    PlacedBlock,
    PlacedSheet,
    Slot,
    columns_for,
    narrow_sheet_of,
    sheets_of,
)
from electrical.schematic.supplies import circuit_group as _group
from electrical.schematic.supplies import draw_supply
from electrical.schematic.text import drawable

MARGIN = 12.0
PRINT_STYLE = """
.schematic{font-family:'Asap Condensed',sans-serif}
.schematic text{fill:#16222B;font-size:13.2px;font-weight:400}
.schematic text.small{fill:#46535B;font-size:12px}
.schematic text.strong{font-weight:600}
.schematic text.middle{text-anchor:middle}
.schematic text.end{text-anchor:end}
.schematic .line{fill:none;stroke:#16222B;stroke-width:1.5}
.schematic .thin{stroke-width:1}
.schematic .dashed{stroke-dasharray:5 4}
.schematic .bus{fill:none;stroke:#16222B;stroke-width:6}
.schematic .box{fill:#FFFFFF;stroke:#16222B;stroke-width:1.3}
.schematic .gap{fill:#FFFFFF;stroke:none}
.schematic .dot{fill:#16222B}
.schematic .label-tag{fill:#FFFFFF;stroke:#16222B;stroke-width:1}
.schematic .wire-piece{stroke:#16222B;stroke-width:.8}
.schematic .mark-stop{fill:#AE1F17}
.schematic .mark-attention{fill:#7C4A00}
.schematic .mark-note{fill:#3C4A53}
.schematic .mark-cannot-tell{fill:#3C4A53}
.schematic text.mark-number{fill:#FFFFFF;font-size:11px;font-weight:700;text-anchor:middle}
.schematic .hit{fill:none}
"""


def draw_diagram(
    blocks: list[Block], *, title: str, selected: str = "", is_narrow: bool = False
) -> str:
    """The whole diagram on one endless sheet, for the screen."""
    columns = columns_for(blocks, is_narrow=is_narrow)
    sheet = narrow_sheet_of(blocks) if is_narrow else sheets_of(blocks)[0]
    return svg_of(draw_sheet(sheet, columns, selected=selected), sheet, columns, title=title)


def draw_sheets(blocks: list[Block], *, title: str, max_height: float) -> list[str]:
    """The diagram on sheets of one size, for print."""
    columns = columns_for(blocks)
    return [
        svg_of(draw_sheet(sheet, columns), sheet, columns, title=title, for_print=max_height)
        for sheet in sheets_of(blocks, max_height)
    ]


def svg_of(
    canvas: Canvas,
    sheet: PlacedSheet,
    columns: Columns,
    *,
    title: str,
    for_print: float | None = None,
) -> str:
    height = for_print or sheet.height + MARGIN
    style = f"<style>{PRINT_STYLE}</style>" if for_print else ""
    role = "img" if for_print else "group"
    return (
        f'<svg class="schematic" xmlns="http://www.w3.org/2000/svg" role="{role}" '
        f'viewBox="0 0 {n(columns.width)} {n(height)}" aria-label="{escape(drawable(title))}">'
        f"{style}{''.join(canvas.pieces)}</svg>"
    )


def draw_sheet(sheet: PlacedSheet, columns: Columns, *, selected: str = "") -> Canvas:
    canvas = Canvas()
    for block in sheet.blocks:
        _draw_block(canvas, block, columns, selected)
    return canvas


def _draw_block(canvas: Canvas, block: PlacedBlock, columns: Columns, selected: str) -> None:
    for supply, y in block.supplies:
        draw_supply(canvas, supply, y, columns.supply_x, selected)
    for slot, y in block.slots:
        for lead in slot.leads:
            _draw_lead(canvas, lead, y, columns, selected)
        _draw_branch(canvas, slot, y, columns, selected)
    for bar in block.bars.values():
        _draw_bar(canvas, bar, columns)


def _draw_bar(canvas: Canvas, placed: PlacedBar, columns: Columns) -> None:
    x = columns.bar_x[placed.depth]
    begin = x if placed.turn is None else columns.supply_x
    over = "" if placed.turn is None else f" V{n(placed.turn)} H{n(x)}"
    canvas.path(f"M{n(begin)},{n(placed.top - 13)}{over} V{n(placed.bottom + 10)}", "bus")
    room = TITLE_W if placed.turn is None else ALONE_W
    at, anchor = (begin - 3, "start") if begin < room / 2 else (begin, "middle")
    for index, words in enumerate(reversed(placed.title_lines)):
        base = placed.top - 21 - index * TITLE_LINE
        canvas.text(words, at, base, room=room, classes="strong", anchor=anchor)


def draw_run(canvas: Canvas, branch: Branch, x: float, y: float, room: float) -> None:
    """Fuse, tag, piece of cable, isolator and cable text from `x` on, within `room`."""
    at = x
    if branch.fuse:
        symbols.fuse(canvas, at, y, branch.fuse)
    at += symbols.FUSE_W + 8
    symbols.tag(canvas, at, y, branch.tag)
    at += symbols.TAG_W + 6
    if branch.wire:
        symbols.wire(canvas, at, y, branch.wire)
    at += symbols.WIRE_W + 7
    if branch.switch:
        symbols.isolator(canvas, at + 2, y, branch.switch)
        at += symbols.SWITCH_W + 10
    canvas.text(branch.cable, at, y - 4, room=max(0.0, x + room - at), small=True)


def _draw_lead(canvas: Canvas, lead: Lead, y: float, columns: Columns, selected: str) -> None:
    branch, bar = lead.feed.branch, lead.feed.bar
    x, end = columns.bar_x[lead.depth], columns.bar_x[lead.depth + 1]
    last = end - 58 if bar.is_converter else end
    with canvas.group(**_group(branch, selected)):
        canvas.rect(x + 8, y - PITCH / 2 + 0.5, end - x - 16, PITCH - 1, "hit")
        canvas.line(x, y, end, y, _line_class(branch))
        draw_run(canvas, branch, x + 12, y, last - 30 - (x + 12))
        symbols.mark(canvas, last - 16, y, branch.mark, branch.mark_number)
    if bar.is_converter:
        _draw_converter(canvas, last, y, bar.from_v, bar.to_v)


def _draw_converter(canvas: Canvas, x: float, y: float, from_v: str, to_v: str) -> None:
    canvas.rect(x, y - 12, 44, 24)
    canvas.line(x, y + 12, x + 44, y - 12, "line thin")
    canvas.taken("converter", x, y - 12, 44, 24)
    canvas.pieces.append(
        f'<text class="small" x="{n(x + 3)}" y="{n(y - 1)}">{escape(from_v)}</text>'
    )
    canvas.pieces.append(
        f'<text class="small end" x="{n(x + 42)}" y="{n(y + 10)}">{escape(to_v)}</text>'
    )


def _draw_branch(canvas: Canvas, slot: Slot, y: float, columns: Columns, selected: str) -> None:
    branch = slot.branch
    if branch is None:
        return
    x, symbol_x = columns.bar_x[slot.depth], columns.symbol_x
    with canvas.group(**_group(branch, selected)):
        canvas.rect(x + 8, y - PITCH / 2 + 0.5, columns.width - x - 12, PITCH - 1, "hit")
        canvas.line(x, y, symbol_x, y, _line_class(branch))
        draw_run(canvas, branch, x + 20, y, symbol_x - 32 - (x + 20))
        symbols.mark(canvas, symbol_x - 17, y, branch.mark, branch.mark_number)
        symbols.end_symbol(canvas, branch.symbol, symbol_x, y)
        base = y + 4.3
        canvas.text(branch.end_label, symbol_x + 31, base, room=46, classes="strong")
        canvas.text(branch.end_name, symbol_x + 81, base, room=252)
        right = columns.width - 6
        drop_w = canvas.text(branch.drop, right, base, room=44, small=True, anchor="end")
        right -= max(drop_w, 36.0) + 6
        canvas.text(branch.load, right, base, room=46, small=True, anchor="end")


def _line_class(branch: Branch) -> str:
    return "line dashed" if branch.always_live else "line"
