"""Device labels: a class letter and a number, unique in the job.

The letters are common practice, no source: they keep to what is written on small-craft
drawings, not to the full class tables of IEC 81346-2 (which would put a heater under E and
a busbar under W).
"""

from collections.abc import Iterable
from itertools import pairwise
from typing import Any, Protocol

from catalogue.models import PartKind
from catalogue.models.electrical_data import LoadFunction, LoadNature

LETTER_BY_KIND: dict[str, str] = {
    PartKind.BATTERY: "G",
    PartKind.CHARGING_SOURCE: "G",
    PartKind.SOLAR_PANEL: "G",
    PartKind.REGULATOR: "U",
    PartKind.CONVERTER: "U",
    PartKind.INVERTER: "U",
    PartKind.BOARD: "B",
    PartKind.BUSBAR: "B",
    PartKind.SWITCH: "S",
    PartKind.OUTLET: "X",
    PartKind.DATA_DEVICE: "A",
    PartKind.DATA_CABLE: "A",
}
LETTER_BY_FUNCTION: dict[str, str] = {
    LoadFunction.NAV_LIGHT: "E",
    LoadFunction.LIGHT: "E",
    LoadFunction.BILGE_PUMP: "M",
    LoadFunction.BLOWER: "M",
    LoadFunction.PUMP: "M",
    LoadFunction.WINCH: "M",
    LoadFunction.ENGINE: "M",
    LoadFunction.HEATING: "R",
    LoadFunction.ALARM: "H",
}
APPARATUS = "A"


def letter_for(kind: str, *, function: str = "", nature: str = "") -> str:
    if kind in LETTER_BY_KIND:
        return LETTER_BY_KIND[kind]
    if function in LETTER_BY_FUNCTION:
        return LETTER_BY_FUNCTION[function]
    return "M" if nature == LoadNature.MOTOR else APPARATUS


class Labelled(Protocol):
    label: Any


def label_order(device: Labelled) -> tuple[str, int, str]:
    """Labels as people count: E9 before E10."""
    label = str(device.label)
    return label[:1], len(label), label


def labels_together(devices: Iterable[Labelled]) -> str:
    """E1–E4 when they run on without a gap, else the labels one by one."""
    labels = [str(device.label) for device in sorted(devices, key=label_order)]
    numbers = [int(label[1:]) for label in labels if label[1:].isdecimal()]
    is_one_letter = len({label[:1] for label in labels}) == 1
    runs_on = len(numbers) == len(labels) and all(b == a + 1 for a, b in pairwise(numbers))
    if len(labels) > 2 and is_one_letter and runs_on:
        return f"{labels[0]}–{labels[-1]}"
    return ", ".join(labels)


def next_label(letter: str, taken: Iterable[str]) -> str:
    """One above the highest in use, so that a label once written on a drawing is not reused."""
    numbers = [
        int(label[len(letter) :])
        for label in taken
        if label.startswith(letter) and label[len(letter) :].isdecimal()
    ]
    return f"{letter}{max(numbers, default=0) + 1}"
