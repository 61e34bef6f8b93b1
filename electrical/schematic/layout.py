"""Where everything stands: rows of one circuit each, columns of bars, split into sheets.

Every circuit has a row of its own, so nothing overlaps however many there are. Bars stand in
columns by how far they are from the batteries; supplies stand left of the first bar.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

from electrical.schematic.content import Bar, Block, Branch, Feed, Supply, Symbol

PITCH = 27.0
TITLE_ROOM = 27.0
BLOCK_GAP = 20.0
TOP = 10.0
COLUMN = 226.0
CONVERTER_ROOM = 64.0
LEFT = 386.0
LEFT_WITH_PANELS = 470.0
TO_SYMBOL = 244.0
SWITCH_ROOM = 36.0
AFTER_SYMBOL = 330.0
SUPPLY_ABOVE, SUPPLY_BELOW = 20.0, 22.0
BATTERY_ABOVE, BATTERY_BELOW = 38.0, 28.0
PANEL_PITCH = 42.0


@dataclass(frozen=True)
class Lead:
    """A circuit from one bar to the next, in the row where the next bar begins."""

    parent: Bar
    depth: int
    feed: Feed


@dataclass(frozen=True)
class Slot:
    """One row: the bars that begin in it, then the circuit that ends it."""

    leads: tuple[Lead, ...]
    owner: Bar
    depth: int
    branch: Branch | None

    @property
    def bars(self) -> list[tuple[Bar, int]]:
        found = [(lead.parent, lead.depth) for lead in self.leads]
        found.append((self.owner, self.depth))
        return found


@dataclass
class PlacedBar:
    bar: Bar
    depth: int
    top: float
    bottom: float
    is_continued: bool = False


@dataclass
class PlacedBlock:
    """The part of a block that stands on one sheet."""

    block: Block
    slots: list[tuple[Slot, float]] = field(default_factory=list)
    supplies: list[tuple[Supply, float]] = field(default_factory=list)
    bars: dict[int, PlacedBar] = field(default_factory=dict)


@dataclass
class PlacedSheet:
    blocks: list[PlacedBlock] = field(default_factory=list)
    height: float = 0.0


@dataclass(frozen=True)
class Columns:
    """Places along the sheet that all of a drawing shares."""

    bar_x: tuple[float, ...]
    symbol_x: float
    width: float
    has_panels: bool


def slots_of(bar: Bar, leads: tuple[Lead, ...] = (), depth: int = 0) -> Iterator[Slot]:
    """Rows of a bar in order; a bar with nothing on it still takes one."""
    waiting = leads
    for item in bar.branches:
        if isinstance(item, Feed):
            lead = Lead(parent=bar, depth=depth, feed=item)
            yield from slots_of(item.bar, (*waiting, lead), depth + 1)
        else:
            yield Slot(leads=waiting, owner=bar, depth=depth, branch=item)
        waiting = ()
    if not bar.branches:
        yield Slot(leads=waiting, owner=bar, depth=depth, branch=None)


def columns_for(blocks: list[Block]) -> Columns:
    slots = [slot for block in blocks for slot in slots_of(block.bar)]
    has_panels = any(supply.panels for block in blocks for supply in block.supplies)
    deepest = max((slot.depth for slot in slots), default=0)
    converters = {
        lead.depth + 1 for slot in slots for lead in slot.leads if lead.feed.bar.is_converter
    }
    bar_x = [LEFT_WITH_PANELS if has_panels else LEFT]
    for depth in range(1, deepest + 1):
        bar_x.append(bar_x[-1] + COLUMN + (CONVERTER_ROOM if depth in converters else 0.0))
    with_switch = any(s.branch and s.branch.switch and s.depth == deepest for s in slots)
    symbol_x = bar_x[-1] + TO_SYMBOL + (SWITCH_ROOM if with_switch else 0.0)
    return Columns(tuple(bar_x), symbol_x, symbol_x + AFTER_SYMBOL, has_panels)


def sheets_of(blocks: list[Block], max_height: float | None = None) -> list[PlacedSheet]:
    """Place the blocks below each other, on as many sheets as `max_height` asks for."""
    sheets = [PlacedSheet(height=TOP)]
    for block in blocks:
        _place(block, sheets, max_height)
    return sheets


def _place(block: Block, sheets: list[PlacedSheet], max_height: float | None) -> None:
    slots = list(slots_of(block.bar))
    supplies = list(block.supplies)
    begun: set[int] = set()
    is_first = True
    while slots or supplies:
        sheet = sheets[-1]
        start = sheet.height + (BLOCK_GAP if sheet.blocks else 0.0)
        if _must_turn(slots, supplies, start, max_height, is_first, bool(sheet.blocks)):
            sheets.append(PlacedSheet(height=TOP))
            continue
        room = None if max_height is None else max_height - start
        placed = _fill(block, slots, supplies, start, room, begun)
        sheet.blocks.append(placed[0])
        sheet.height = start + placed[1]
        is_first = False
        if slots or supplies:
            sheets.append(PlacedSheet(height=TOP))


def _must_turn(
    slots: list[Slot],
    supplies: list[Supply],
    start: float,
    max_height: float | None,
    is_first: bool,
    is_begun: bool,
) -> bool:
    """A block that fits on a sheet of its own is not torn; a longer one starts with four rows."""
    if max_height is None or not is_first or not is_begun:
        return False
    whole = max(
        len(slots) * PITCH + TITLE_ROOM * _titles(slots),
        TITLE_ROOM + sum(sum(_reach(supply)) for supply in supplies),
    )
    if start + whole <= max_height:
        return False
    return whole <= max_height - TOP or start + 4 * PITCH + 2 * TITLE_ROOM > max_height


def _titles(slots: list[Slot]) -> int:
    return 1 + sum(bool(slot.leads) for slot in slots)


def _fill(
    block: Block,
    slots: list[Slot],
    supplies: list[Supply],
    start: float,
    room: float | None,
    begun: set[int],
) -> tuple[PlacedBlock, float]:
    """Take rows and supplies off the lists for as long as they fit; at least one of each."""
    placed = PlacedBlock(block)
    down = _fill_rows(placed, slots, start, room, begun)
    left = _fill_supplies(placed, supplies, start, room)
    if placed.supplies:
        _reach_supplies(placed, block, start, begun)
    return placed, max(down, left)


def _fill_rows(
    placed: PlacedBlock, slots: list[Slot], start: float, room: float | None, begun: set[int]
) -> float:
    down = 0.0
    while slots:
        slot = slots[0]
        is_titled = any(bar.point_id not in placed.bars for bar, _ in slot.bars)
        need = PITCH + (TITLE_ROOM if is_titled else 0.0)
        if room is not None and placed.slots and down + need > room:
            break
        down += need
        y = start + down - PITCH / 2
        for bar, depth in slot.bars:
            here = placed.bars.get(bar.point_id)
            if here is None:
                is_continued = bar.point_id in begun
                placed.bars[bar.point_id] = PlacedBar(bar, depth, y, y, is_continued)
                begun.add(bar.point_id)
            else:
                here.bottom = y
        placed.slots.append((slot, y))
        slots.pop(0)
    return down


def _fill_supplies(
    placed: PlacedBlock, supplies: list[Supply], start: float, room: float | None
) -> float:
    left = TITLE_ROOM
    while supplies:
        above, below = _reach(supplies[0])
        if room is not None and placed.supplies and left + above + below > room:
            break
        placed.supplies.append((supplies[0], start + left + above))
        left += above + below
        supplies.pop(0)
    return left if placed.supplies else 0.0


def _reach_supplies(placed: PlacedBlock, block: Block, start: float, begun: set[int]) -> None:
    """Draw the first bar long enough for every supply on this sheet."""
    ys = [y for _, y in placed.supplies]
    bar = placed.bars.get(block.bar.point_id)
    if bar is None:
        is_continued = block.bar.point_id in begun
        bar = PlacedBar(block.bar, 0, start + TITLE_ROOM + PITCH / 2, max(ys), is_continued)
        placed.bars[block.bar.point_id] = bar
        begun.add(block.bar.point_id)
    bar.bottom = max(bar.bottom, *ys)


def _reach(supply: Supply) -> tuple[float, float]:
    """Room above and below the line of a supply."""
    if supply.symbol is Symbol.BATTERY:
        return BATTERY_ABOVE, BATTERY_BELOW
    extra = PANEL_PITCH * max(0, len(supply.panels) - 1) / 2
    return SUPPLY_ABOVE + extra, SUPPLY_BELOW + extra
