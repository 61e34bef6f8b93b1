"""Nothing in the diagram overlaps, everything fits, every text is escaped."""

import re
from itertools import combinations

import pytest
from defusedxml import ElementTree as ET

from electrical.schematic.canvas import Box, Canvas
from electrical.schematic.content import Bar, Block, Branch, Feed, Panel, Supply, Symbol
from electrical.schematic.draw import draw_diagram, draw_sheet, draw_sheets
from electrical.schematic.layout import columns_for, narrow_sheet_of, sheets_of, slots_of
from electrical.schematic.text import drawable, fitted, width_of

LONG = "Refrigerator with freezer box and a very long description of where it stands"
NASTY = '<script>alert("1")</script> & \u202eevil\x07'


def make_branch(number: int, *, name: str = LONG, switch: str = "", mark: str = "stop") -> Branch:
    return Branch(
        circuit_id=number,
        tag=f"C{number:02d}",
        name=name,
        fuse="7.5 A",
        switch=switch,
        wire="#C8201C",
        cable="2.5 mm² 12.4 m",
        symbol=list(Symbol)[number % len(Symbol)],
        end_label=f"E{number}–E{number + 9}",
        end_name=name,
        load="120 A",
        drop="10.4 %",
        mark=mark,
        mark_number=str(number),
    )


def make_bar(point: int, *numbers: int, name: str = LONG) -> Bar:
    branches = tuple(make_branch(number, name=name) for number in numbers)
    return Bar(point_id=point, label=f"B{point}", name=name, branches=branches)


def make_supplies(count: int, *, name: str = LONG, first: int = 500) -> tuple[Supply, ...]:
    kinds = (Symbol.BATTERY, Symbol.SOURCE)
    return tuple(
        Supply(
            branch=make_branch(first + index, name=name, switch="S1" if index % 2 == 0 else ""),
            symbol=kinds[index % 2],
            label=f"G{index}",
            name=name,
            detail="12.8 V 280 Ah",
            panels=tuple(
                Panel(branch=make_branch(600 + 10 * index + n, name=name), label=f"G{n}", name=name)
                for n in range(3 if index == 3 else 0)
            ),
        )
        for index in range(count)
    )


def make_blocks(rows: int, *, name: str = LONG) -> list[Block]:
    board = make_bar(2, *range(100, 100 + rows), name=name)
    converter = Bar(
        point_id=3,
        label="U1",
        name=name,
        branches=(make_branch(300, name=name, switch="S9"),),
        is_converter=True,
        from_v="12 V",
        to_v="48 V",
    )
    main = Bar(
        point_id=1,
        label="B1",
        name=name,
        branches=(
            Feed(branch=make_branch(10, name=name), bar=board),
            make_branch(11, name=name, switch="S2"),
            make_branch(14, name=name),
            Feed(branch=make_branch(12, name=name), bar=converter),
            Feed(branch=make_branch(13, name=name), bar=Bar(point_id=4, label="B4", name=name)),
        ),
    )
    return [
        Block(bar=main, supplies=make_supplies(6, name=name)),
        Block(
            bar=make_bar(5, 400, 401, name=name), supplies=make_supplies(1, name=name, first=560)
        ),
    ]


def overlapping(boxes: list[Box]) -> list[tuple[str, str]]:
    """Texts and symbols that share room; a text may stand inside its own box."""
    return [
        (one.what, other.what)
        for one, other in combinations(boxes, 2)
        if one.overlaps(other) and {one.kind, other.kind} != {"text", "box"}
    ]


def drawn(blocks: list[Block], max_height: float | None = None) -> list[Canvas]:
    columns = columns_for(blocks)
    return [draw_sheet(sheet, columns) for sheet in sheets_of(blocks, max_height)]


@pytest.mark.pure
@pytest.mark.parametrize("rows", [0, 1, 2, 17, 120])
def test_nothing_overlaps_at_any_number_of_circuits(rows: int) -> None:
    for canvas in drawn(make_blocks(rows)):
        assert overlapping(canvas.boxes) == []


@pytest.mark.pure
@pytest.mark.parametrize("rows", [0, 1, 17])
def test_a_narrow_sheet_holds_everything_without_overlap(rows: int) -> None:
    blocks = make_blocks(rows)
    sheet, columns = narrow_sheet_of(blocks), columns_for(blocks, is_narrow=True)
    canvas = draw_sheet(sheet, columns)
    assert overlapping(canvas.boxes) == []
    assert columns.width < columns_for(blocks).width - 300
    for box in canvas.boxes:
        assert box.x >= 0, box
        assert box.x + box.width <= columns.width, box
        assert 0 <= box.y <= sheet.height - box.height, box


@pytest.mark.pure
def test_a_narrow_sheet_draws_the_same_circuits() -> None:
    wide, narrow = (draw_diagram(make_blocks(9), title="", is_narrow=on) for on in (False, True))
    circuit = r'data-circuit="(C\d+)"'
    assert sorted(re.findall(circuit, wide)) == sorted(re.findall(circuit, narrow))


@pytest.mark.pure
@pytest.mark.parametrize("rows", [17, 120])
def test_nothing_overlaps_when_split_into_sheets(rows: int) -> None:
    canvases = drawn(make_blocks(rows), max_height=640)
    assert len(canvases) > 1
    for canvas in canvases:
        assert overlapping(canvas.boxes) == []


@pytest.mark.pure
def test_a_box_notices_an_overlap() -> None:
    one = Box("text", 0, 0, 10, 10, "one")
    assert overlapping([one, Box("symbol", 5, 5, 10, 10, "two")]) == [("one", "two")]
    assert overlapping([one, Box("symbol", 10, 0, 10, 10, "beside")]) == []


@pytest.mark.pure
@pytest.mark.parametrize("rows", [1, 40])
def test_everything_stands_inside_the_drawing(rows: int) -> None:
    blocks = make_blocks(rows)
    columns = columns_for(blocks)
    for sheet in sheets_of(blocks, 640):
        for box in draw_sheet(sheet, columns).boxes:
            assert box.x >= 0, box
            assert box.y >= 0, box
            assert box.x + box.width <= columns.width, box
            assert box.y + box.height <= 640 + 12, box


@pytest.mark.pure
def test_every_circuit_is_drawn_once_over_all_sheets() -> None:
    sheets = draw_sheets(make_blocks(60), title="Diagram", max_height=640)
    tags = re.findall(r'data-circuit="(C\d+)"', "".join(sheets))
    assert len(tags) == len(set(tags))
    assert {f"C{n}" for n in range(100, 160)} <= set(tags)


@pytest.mark.pure
def test_a_bar_that_goes_over_to_another_sheet_says_so() -> None:
    sheets = draw_sheets(make_blocks(60, name="Helm"), title="Diagram", max_height=640)
    assert "B2 Helm, continued" not in sheets[0]
    assert "B2 Helm, continued" in "".join(sheets[1:])


@pytest.mark.pure
def test_sheets_are_of_one_size_and_carry_their_own_colours() -> None:
    sheets = draw_sheets(make_blocks(60), title="Diagram", max_height=640)
    sizes = {re.search(r'viewBox="([^"]+)"', sheet).group(1) for sheet in sheets}  # type: ignore[union-attr]
    assert len(sizes) == 1
    assert all("<style>" in sheet for sheet in sheets)


@pytest.mark.pure
def test_on_screen_there_is_no_style_of_its_own() -> None:
    svg = draw_diagram(make_blocks(3), title="Diagram")
    assert "<style" not in svg
    assert "style=" not in svg


@pytest.mark.pure
def test_markup_and_hidden_marks_in_names_are_harmless() -> None:
    blocks = make_blocks(3, name=NASTY)
    for svg in (
        draw_diagram(blocks, title=NASTY),
        *draw_sheets(blocks, title=NASTY, max_height=640),
    ):
        assert "<script" not in svg
        assert "\x07" not in svg
        root = ET.fromstring(svg)
        assert root.tag.endswith("svg")
        texts = [element.text or "" for element in root.iter() if element.tag.endswith("text")]
        assert not any("\u202e" in text for text in texts)


@pytest.mark.pure
def test_the_selected_circuit_is_marked() -> None:
    svg = draw_diagram(make_blocks(3), title="Diagram", selected="C101")
    on = re.findall(r'<g class="circuit on" data-circuit="(C\d+)"', svg)
    assert on == ["C101"]


@pytest.mark.pure
def test_a_long_text_is_cut_where_its_room_ends() -> None:
    shown = fitted(LONG, 100, 13.2)
    assert shown.endswith("…")
    assert width_of(shown, 13.2) <= 100
    assert fitted("Radar", 100, 13.2) == "Radar"
    assert fitted(LONG, 3, 13.2) == ""


@pytest.mark.pure
def test_scripts_the_face_does_not_hold_count_as_wide() -> None:
    assert width_of("灯", 10) > width_of("W", 10)
    assert width_of("é", 10) == width_of("e", 10)


@pytest.mark.pure
def test_control_characters_leave_a_space() -> None:
    assert drawable("Bilge\x00pump\u202e  aft") == "Bilge pump aft"


@pytest.mark.pure
def test_an_empty_bar_still_has_a_row() -> None:
    slots = list(slots_of(Bar(point_id=1, label="B1", name="Spare")))
    assert len(slots) == 1
    assert slots[0].branch is None


@pytest.mark.parametrize("is_narrow", [False, True])
def test_names_of_four_or_five_words_stand_whole(is_narrow: bool) -> None:
    names = ("Alternator of the vehicle", "Starting battery of the vehicle", "Battery charger")
    symbols = (Symbol.SOURCE, Symbol.BATTERY, Symbol.SOURCE)
    panel = Panel(branch=make_branch(9, name="x"), label="G12", name="Solar panel on the roof")
    supplies = tuple(
        Supply(
            branch=make_branch(20 + n, name=name),
            symbol=symbol,
            label=f"G{n}",
            name=name,
            panels=(panel,) if name == "Battery charger" else (),
        )
        for n, (name, symbol) in enumerate(zip(names, symbols, strict=True))
    )
    title = "Starting battery of the vehicle, before the isolator"
    bar = Bar(point_id=1, label="G5", name=title, branches=(make_branch(7, name="Horn"),))
    drawn = draw_diagram([Block(bar=bar, supplies=supplies)], title="x", is_narrow=is_narrow)
    assert "…" not in drawn
    shown = " ".join(re.findall(r"<text[^>]*>([^<]*)", drawn))
    for words in (*names, title, panel.name):
        assert all(word in shown for word in words.split())
