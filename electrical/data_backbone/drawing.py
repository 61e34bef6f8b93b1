"""The backbone as one line with its tees: in order, and to scale as far as the words allow.

Line and drops share one scale. Where two tees are nearer than the words need, the cable is
drawn at its true length and the rest of the gap dotted.
"""

from __future__ import annotations

from html import escape

from electrical.core.backbone import DeviceMeasures, SegmentMeasures
from electrical.data_backbone.judging import Judged
from electrical.data_backbone.layout import Tee
from electrical.schematic.canvas import SMALL_SIZE, TEXT_SIZE, Canvas, n
from electrical.schematic.draw import PRINT_STYLE
from electrical.schematic.text import drawable, wrapped

WIDTH, WIDTH_IN_PRINT = 380.0, 528.0
LINE_X = 108.0
TEXT_X = LINE_X + 62.0
ROW = 40.0
LINE_H = 14.0
MOST_LINES = 4
TOP = 46.0
MOST_PX_PER_M = 34.0
TALLEST, TALLEST_IN_PRINT, LONGEST_DROP = 640.0, 300.0, 50.0
NBSP = "\N{NO-BREAK SPACE}"


def draw_backbone(judged: Judged, *, for_print: bool = False) -> str:
    """The whole drawing; every text is escaped. For print it carries its own colours."""
    return Drawing(judged, for_print=for_print).svg()


class Drawing:
    def __init__(self, judged: Judged, *, for_print: bool) -> None:
        self.for_print = for_print
        self.tallest = TALLEST_IN_PRINT if for_print else TALLEST
        self.width = WIDTH_IN_PRINT if for_print else WIDTH
        self.judged, self.layout = judged, judged.layout
        measures = judged.measures
        self.segments = measures.segments if measures else ()
        self.devices = {d.device.device_id: d for d in measures.devices} if measures else {}
        self.canvas = Canvas()
        self.scale = self._scale()

    def _scale(self) -> float:
        length_m = max(self.layout.length_m, 0.1)
        drop_m = max((tee.drop_m for tee in self.layout.devices), default=0.1)
        return min(MOST_PX_PER_M, self.tallest / length_m, LONGEST_DROP / max(drop_m, 0.1))

    def svg(self) -> str:
        y = TOP
        self._end(y, above=True, is_terminated=self.layout.terminators[0])
        for tee in self.layout.tees:
            if tee.number > 1:
                y = self._segment(tee, y)
            self._tee(tee, y)
        more = self._more(self.layout.tees[-1]) if self.layout.tees else 0.0
        self._end(y + more, above=False, is_terminated=self.layout.terminators[1])
        if more:
            self.canvas.line(LINE_X, y, LINE_X, y + more, "line thin")
        height = y + more + TOP
        title = escape(drawable(f"Data backbone, {len(self.layout.tees)} tees in order"))
        style = f"<style>{PRINT_STYLE}</style>" if self.for_print else ""
        return (
            f'<svg class="schematic data-line" xmlns="http://www.w3.org/2000/svg" role="img" '
            f'viewBox="0 0 {n(self.width)} {n(height)}">'
            f"{style}<title>{title}</title>{''.join(self.canvas.pieces)}</svg>"
        )

    def _segment(self, tee: Tee, top: float) -> float:
        """Cable to the tee before; answers where the tee is drawn."""
        true = (tee.before_m or 0.0) * self.scale
        y = top + max(true, ROW + self._more(self.layout.tees[tee.number - 2]))
        gap = y - top - true
        if true > 0.0:
            self.canvas.line(LINE_X, top + gap / 2, LINE_X, top + gap / 2 + true, "bus")
        if gap > 0.0:
            self.canvas.line(LINE_X, top, LINE_X, y, "line thin dashed")
        measured = self.segments[tee.number - 2] if self.segments else None
        self.canvas.text(
            _segment_words(tee, measured),
            LINE_X - 12,
            (top + y) / 2 + 4.0,
            room=LINE_X - 16,
            small=True,
            anchor="end",
        )
        return y

    def _tee(self, tee: Tee, y: float) -> None:
        canvas = self.canvas
        if tee.is_feed:
            canvas.path(f"M{n(LINE_X - 26)},{n(y - 7)} l18,7 l-18,7 z", "mark-note")
            end = LINE_X
        else:
            end = LINE_X + tee.drop_m * self.scale
            canvas.line(LINE_X, y, end, y)
            canvas.rect(end, y - 5, 9, 10)
        canvas.circle(LINE_X, y, 4.5, "dot")
        if end + 9 < TEXT_X - 4:
            canvas.line(end + 11, y, TEXT_X - 4, y, "line thin dashed")
        names, words = self._lines(tee)
        line_y = y - 1
        for name in names:
            canvas.text(name, TEXT_X, line_y, room=self.width - TEXT_X, classes="strong")
            line_y += LINE_H
        for line in words:
            canvas.text(line, TEXT_X, line_y, room=self.width - TEXT_X, small=True)
            line_y += LINE_H

    def _lines(self, tee: Tee) -> tuple[list[str], list[str]]:
        """The name of a tee's device, and what is told of it; what is long on several lines."""
        room = self.width - TEXT_X
        name = f"{tee.label} {tee.device.label} {tee.device.short_name}"
        words = _tee_words(tee, self.devices.get(str(tee.device.pk)))
        return (
            wrapped(name, room, TEXT_SIZE, bold=True, most=MOST_LINES),
            wrapped(words, room, SMALL_SIZE, most=MOST_LINES),
        )

    def _more(self, tee: Tee) -> float:
        """What its text takes below a line for the name and one for the rest."""
        names, words = self._lines(tee)
        return (len(names) + len(words) - 2) * LINE_H

    def _end(self, y: float, *, above: bool, is_terminated: bool) -> None:
        edge = y - 30 if above else y + 18
        self.canvas.line(LINE_X, y, LINE_X, edge + (12 if above else 0), "line thin")
        classes = "box" if is_terminated else "line dashed"
        self.canvas.rect(LINE_X - 8, edge, 16, 12, classes)
        words = f"terminator 120{NBSP}ohm" if is_terminated else "no terminator"
        self.canvas.text(words, LINE_X + 14, edge + 10, room=120, small=True)


def _segment_words(tee: Tee, measured: SegmentMeasures | None) -> str:
    if tee.before_m is None:
        return "length not known"
    length = f"{tee.before_m:.1f}{NBSP}m" if tee.before_m else "joined"
    if measured is None or measured.current_a is None:
        return length
    return f"{length}, {measured.current_a:.2f}{NBSP}A"


def _tee_words(tee: Tee, measured: DeviceMeasures | None) -> str:
    if tee.is_feed:
        return "power enters here"
    words = [f"drop {tee.drop_m:.1f}{NBSP}m"]
    if measured is not None and measured.voltage_v is not None:
        words.append(f"{measured.voltage_v:.2f}{NBSP}V")
    words.append("own supply" if tee.load_units == 0 else _units(tee.load_units))
    return ", ".join(words)


def _units(load_units: int | None) -> str:
    if load_units is None:
        return "load units not known"
    return f"{load_units} load unit{'' if load_units == 1 else 's'}"
