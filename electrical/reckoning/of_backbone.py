"""Figures of the rules about the data backbone, whose page shows its solve by tee."""

from __future__ import annotations

from electrical.core.tables import data_backbone as table
from electrical.reckoning.case import Case, How, Ways
from electrical.reckoning.of_circuits import ENTERED
from electrical.working import PARTS

LENGTHS = "along the hull plan, or as entered"
SOLVED = "the backbone solved as a network"


def _way(value: How, limit: str) -> Ways:
    def ways(case: Case) -> tuple[How, How]:
        return value, How(limit, case.clause)

    return ways


def _parts(case: Case) -> tuple[How, How]:
    return How("what the build sheet has", "build sheet"), How("what the layout takes", LENGTHS)


OF_BACKBONE: dict[str, Ways] = {
    "data-parts": _parts,
    "data-length": _way(How("sum from tee to tee", LENGTHS), "most for the weakest cable in it"),
    "data-drop-length": _way(How("from the tee to the device", LENGTHS), "most for one drop"),
    "data-drops-together": _way(How("sum of the drops", LENGTHS), "most for all drops together"),
    "data-nodes": _way(How("devices counted", "build sheet"), "most on one backbone"),
    "data-terminators": _way(How("terminators counted", ENTERED), "one for each end"),
    "data-supply": _way(How("supply points counted", "build sheet"), "one for each powered part"),
    "data-shield": _way(How("places where it is grounded", ENTERED), "one place"),
    "data-device-current": _way(
        How(f"load units × {table.LOAD_UNIT_A:g} A", PARTS), "most for one device"
    ),
    "data-current": _way(
        How("what the devices beyond it draw", SOLVED), "most for its grade of cable"
    ),
    "data-voltage": _way(
        How("voltage of the supply less that of the device", SOLVED),
        "most that may be lost on the way",
    ),
    "data-window": _way(How("voltage at the device", SOLVED), "least of the supply window"),
}
