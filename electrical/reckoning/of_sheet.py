"""Figures of the rules about what stands on the build sheet: board ways, makers' limits, panels."""

from __future__ import annotations

from catalogue.models import SolarPanelData
from electrical.busbar_rules import MOST_ON_A_STUD
from electrical.facts import record_of
from electrical.models import Device
from electrical.reckoning.case import Case, How, Ways
from electrical.reckoning.of_circuits import MARKED
from electrical.solar_rules import MOST_W_M2
from electrical.solar_strings import cold_step
from electrical.working import PARTS, PRACTICE

ON_SHEET = "build sheet and circuits"


def _device(case: Case) -> Device:
    return case.sheet.device_by_id[int(case.finding.subject.id)]


def _board_way(case: Case) -> tuple[How, How]:
    return How("circuits that start there", ON_SHEET), How("ways of the board", PARTS)


def _maker_fuse(case: Case) -> tuple[How, How]:
    return MARKED, How("least of what the makers of its devices allow", PARTS)


def _cold_string(case: Case) -> tuple[How, How]:
    facts = case.sheet
    panel = facts.origin_of(facts.circuit_by_id[int(case.finding.subject.id)])
    record = record_of(panel)
    limit = How("largest input voltage of the regulator", PARTS)
    if not isinstance(record, SolarPanelData):
        return How("open-circuit voltage × factor", PARTS), limit
    step = cold_step(facts, panel, record)
    return How(step.formula, step.source), limit


def _regulator_input(case: Case) -> tuple[How, How]:
    facts = case.sheet
    panels = [facts.origin_of(c) for c in facts.fed_by.get(_device(case).pk, ())]
    parts = tuple(
        (panel.label, float(record.isc_a), "A")
        for panel in panels
        if isinstance(record := record_of(panel), SolarPanelData)
    )
    shorted = How("sum of the panels in a short, each on its lead", PARTS, parts)
    return shorted, How("largest input current of the regulator", PARTS)


def _panel_area(case: Case) -> tuple[How, How]:
    return How("rated power ÷ area", PARTS), How(f"{MOST_W_M2} W from a square metre", PRACTICE)


def _busbar_ways(case: Case) -> tuple[How, How]:
    words = f"ways of the busbar; up to {MOST_ON_A_STUD} terminals may share one"
    return How("terminals of the leads on it", ON_SHEET), How(words, case.clause)


OF_SHEET: dict[str, Ways] = {
    "board-way": _board_way,
    "maker-fuse": _maker_fuse,
    "cold-string": _cold_string,
    "regulator-input": _regulator_input,
    "panel-area": _panel_area,
    "busbar-ways": _busbar_ways,
}
