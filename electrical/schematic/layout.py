"""Where everything stands: rows of one circuit each, columns of bars, split into sheets.

Every circuit has a row of its own, so nothing overlaps however many there are. Bars stand in
columns by how far they are from the batteries; supplies stand left of the first bar. On a narrow
sheet the rows begin below the supplies, and the first bar turns left to run down beside them.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

from electrical.schematic.canvas import TEXT_SIZE
from electrical.schematic.content import Bar, Block, Branch, Feed, Supply
from electrical.schematic.supplies import reach_of
from electrical.schematic.text import wrapped

PITCH = 27.0
TITLE_ROOM = 27.0
BLOCK_GAP = 20.0
TOP = 10.0
COLUMN = 258.0
CONVERTER_ROOM = 64.0
LEFT = 406.0
LEFT_WITH_PANELS = 532.0
NARROW_LEFT = 14.0
AFTER_TURN = 12.0
TO_SYMBOL = 272.0
SWITCH_ROOM = 36.0
AFTER_SYMBOL = 436.0
TITLE_W, ALONE_W = 216.0, 330.0
TITLE_LINE, TITLE_LINES = 15.0, 3
#: A block that goes over to another sheet begins with at least this much of it.
LEAST_BEGUN = 4 * PITCH + 2 * TITLE_ROOM


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
    turn: float | None = None
    """Where a bar on a narrow sheet goes over from its supplies to its rows."""

    @property
    def title_lines(self) -> list[str]:
        return title_lines(self.bar, is_continued=self.is_continued, is_alone=self.turn is not None)


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

    supply_x: float
    """Where the lines of the supplies end."""
    bar_x: tuple[float, ...]
    symbol_x: float
    width: float
    has_panels: bool


def title_lines(bar: Bar, *, is_continued: bool, is_alone: bool) -> list[str]:
    """A long title stands on several lines; one with nothing beside it has more room."""
    words = f"{bar.title}, continued" if is_continued else bar.title
    room = ALONE_W if is_alone else TITLE_W
    return wrapped(words, room, TEXT_SIZE, bold=True, most=TITLE_LINES)


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


def columns_for(blocks: list[Block], *, is_narrow: bool = False) -> Columns:
    slots = [slot for block in blocks for slot in slots_of(block.bar)]
    has_panels = any(supply.panels for block in blocks for supply in block.supplies)
    deepest = max((slot.depth for slot in slots), default=0)
    converters = {
        lead.depth + 1 for slot in slots for lead in slot.leads if lead.feed.bar.is_converter
    }
    supply_x = LEFT_WITH_PANELS if has_panels else LEFT
    bar_x = [NARROW_LEFT if is_narrow else supply_x]
    for depth in range(1, deepest + 1):
        bar_x.append(bar_x[-1] + COLUMN + (CONVERTER_ROOM if depth in converters else 0.0))
    with_switch = any(s.branch and s.branch.switch and s.depth == deepest for s in slots)
    symbol_x = bar_x[-1] + TO_SYMBOL + (SWITCH_ROOM if with_switch else 0.0)
    return Columns(supply_x, tuple(bar_x), symbol_x, symbol_x + AFTER_SYMBOL, has_panels)


def sheets_of(blocks: list[Block], max_height: float | None = None) -> list[PlacedSheet]:
    """Place the blocks below each other, on as many sheets as `max_height` asks for."""
    sheets = [PlacedSheet(height=TOP)]
    for block in blocks:
        Placer(block, sheets, max_height).place()
    return sheets


def narrow_sheet_of(blocks: list[Block]) -> PlacedSheet:
    """One endless sheet, rows below the supplies."""
    sheets = [PlacedSheet(height=TOP)]
    for block in blocks:
        Placer(block, sheets, None, is_narrow=True).place()
    return sheets[0]


class Placer:
    """Takes the rows and supplies of one block off its lists, sheet by sheet."""

    def __init__(
        self,
        block: Block,
        sheets: list[PlacedSheet],
        max_height: float | None,
        *,
        is_narrow: bool = False,
    ) -> None:
        self.is_narrow = is_narrow
        self.block = block
        self.sheets = sheets
        self.max_height = max_height
        self.slots = list(slots_of(block.bar))
        self.supplies = list(block.supplies)
        self.begun: set[int] = set()

    def place(self) -> None:
        if self._must_turn():
            self._turn()
        while True:
            self._fill(self.sheets[-1])
            if not (self.slots or self.supplies):
                return
            self._turn()

    def _turn(self) -> None:
        self.sheets.append(PlacedSheet(height=TOP))

    @property
    def _start(self) -> float:
        sheet = self.sheets[-1]
        return sheet.height + (BLOCK_GAP if sheet.blocks else 0.0)

    def _must_turn(self) -> bool:
        """A block that fits on a sheet of its own is not torn; a longer one begins with a few
        rows at least."""
        if self.max_height is None or not self.sheets[-1].blocks:
            return False
        seen: set[int] = set()
        titles = [self._title_room(self._new_bars(slot, seen)) for slot in self.slots]
        whole = max(
            len(self.slots) * PITCH + sum(titles),
            (titles or [TITLE_ROOM])[0] + sum(sum(reach_of(supply)) for supply in self.supplies),
        )
        if self._start + whole <= self.max_height:
            return False
        fits_alone = whole <= self.max_height - TOP
        return fits_alone or self._start + LEAST_BEGUN > self.max_height

    def _fill(self, sheet: PlacedSheet) -> None:
        """As many rows and supplies as fit, at least one of each."""
        start = self._start
        room = None if self.max_height is None else self.max_height - start
        placed = PlacedBlock(self.block)
        if self.is_narrow:
            end = self._fill_below(placed, start)
        else:
            bars = [bar for bar, _ in self.slots[0].bars] if self.slots else [self.block.bar]
            titles = self._title_room(bars)
            down = self._fill_rows(placed, start, room)
            end = start + max(down, self._fill_supplies(placed, start, room, titles))
            if placed.supplies:
                self._reach_supplies(placed, start + titles)
        sheet.blocks.append(placed)
        sheet.height = end

    def _fill_below(self, placed: PlacedBlock, start: float) -> float:
        titles = self._title_room([self.block.bar], is_alone=True)
        turn = start + self._fill_supplies(placed, start, None, titles)
        if placed.supplies:
            self._reach_supplies(placed, start + titles)
            placed.bars[self.block.bar.point_id].turn = turn
            turn += AFTER_TURN
        return turn + self._fill_rows(placed, turn, None)

    def _fill_rows(self, placed: PlacedBlock, start: float, room: float | None) -> float:
        down = 0.0
        while self.slots:
            slot = self.slots[0]
            need = PITCH + self._title_room(self._new_bars(slot, set(placed.bars)))
            if room is not None and placed.slots and down + need > room:
                break
            down += need
            y = start + down - PITCH / 2
            for bar, depth in slot.bars:
                self._stand(placed, bar, depth, y)
            placed.slots.append((slot, y))
            self.slots.pop(0)
        return down

    @staticmethod
    def _new_bars(slot: Slot, seen: set[int]) -> list[Bar]:
        """Bars that begin in a row, which `seen` remembers from here on."""
        found = [bar for bar, _ in slot.bars if bar.point_id not in seen]
        seen.update(bar.point_id for bar in found)
        return found

    def _title_room(self, bars: list[Bar], *, is_alone: bool = False) -> float:
        """Room above a row in which these bars begin."""
        lines = [
            len(title_lines(bar, is_continued=bar.point_id in self.begun, is_alone=is_alone))
            for bar in bars
        ]
        return TITLE_ROOM + TITLE_LINE * (max(lines) - 1) if lines else 0.0

    def _stand(self, placed: PlacedBlock, bar: Bar, depth: int, y: float) -> None:
        """Begin a bar at `y`, or make it reach down to there."""
        here = placed.bars.get(bar.point_id)
        if here is not None:
            here.bottom = max(here.bottom, y)
            return
        is_continued = bar.point_id in self.begun
        placed.bars[bar.point_id] = PlacedBar(bar, depth, y, y, is_continued=is_continued)
        self.begun.add(bar.point_id)

    def _fill_supplies(
        self, placed: PlacedBlock, start: float, room: float | None, titles: float
    ) -> float:
        left = titles
        while self.supplies:
            above, below = reach_of(self.supplies[0])
            if room is not None and placed.supplies and left + above + below > room:
                break
            placed.supplies.append((self.supplies[0], start + left + above))
            left += above + below
            self.supplies.pop(0)
        return left if placed.supplies else 0.0

    def _reach_supplies(self, placed: PlacedBlock, top: float) -> None:
        """Draw the first bar long enough for every supply on this sheet."""
        self._stand(placed, self.block.bar, 0, top + PITCH / 2)
        for _, y in placed.supplies:
            self._stand(placed, self.block.bar, 0, y)
