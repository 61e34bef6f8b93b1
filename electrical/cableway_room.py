"""How much room the cables of a cableway take: cable diameters as their makers tell them."""

from collections.abc import Iterator
from math import pi, sqrt

from catalogue.models import CableData
from electrical.check import Checked
from electrical.models import Circuit
from electrical.working import FOLLOWS, NBSP, PARTS, Section, Step

#: Most of a pipe or duct that more than two cables may fill.
FILL = 0.40
FILL_SOURCE = "NFPA 70, chapter 9, Table 1 (from memory, to be checked)"


def room_of(checked: Checked, circuit: Circuit) -> list[Section]:
    """Of the fullest cableway a circuit lies in; nothing where it lies in none."""
    cores = checked.design.circuits if checked.design else ()
    routes = [core.route for core in cores if core.id == str(circuit.pk)]
    segments = [segment for route in routes if route for segment in route.segment_ids]
    if not segments:
        return []
    fullest = max(segments, key=lambda segment: _area_mm2(checked, segment))
    return [Section("Room in the fullest cableway", tuple(_steps(checked, fullest)))]


def _steps(checked: Checked, segment_id: str) -> Iterator[Step]:
    circuits = _circuits_in(checked, segment_id)
    unknown = [circuit.label for circuit in circuits if _own_mm2(circuit) is None]
    labels = checked.design.segment_labels if checked.design else {}
    name = f"Cables in {labels.get(segment_id, 'the fullest cableway')}"
    count = sum(_pieces(circuit) for circuit in circuits)
    yield Step(name, f"of {len(circuits)} circuits, there and back", str(count), FOLLOWS)
    if unknown:
        missing = f"outer diameter of the cable of {', '.join(unknown)} not told"
        yield Step("Room they take", missing, "not known", PARTS)
        return
    area_mm2 = _area_mm2(checked, segment_id)
    formula = "sum of π ÷ 4 × outer diameter²"
    yield Step("Room they take", formula, f"{area_mm2:.0f}{NBSP}mm²", PARTS)
    inside_mm = sqrt(4.0 * area_mm2 / (pi * FILL))
    pipe = f"√(4 × {area_mm2:.0f} ÷ (π × {FILL:g})), filled to {100 * FILL:.0f} %"
    yield Step("A pipe for all of them, inside", pipe, f"{inside_mm:.0f}{NBSP}mm", FILL_SOURCE)


def _circuits_in(checked: Checked, segment_id: str) -> list[Circuit]:
    design, rows = checked.design, checked.facts.circuit_by_id
    if design is None:
        return []
    return [
        rows[int(core.id)]
        for core in design.circuits
        if core.route is not None and segment_id in core.route.segment_ids
    ]


def _area_mm2(checked: Checked, segment_id: str) -> float:
    return sum(_own_mm2(circuit) or 0.0 for circuit in _circuits_in(checked, segment_id))


def _own_mm2(circuit: Circuit) -> float | None:
    data = getattr(circuit.cable, "cabledata", None)
    if not isinstance(data, CableData) or data.outer_diameter_mm is None:
        return None
    return _pieces(circuit) * pi / 4.0 * float(data.outer_diameter_mm) ** 2


def _pieces(circuit: Circuit) -> int:
    """Single cores go out and come back; a cable of several cores lies once."""
    data = getattr(circuit.cable, "cabledata", None)
    is_pair = isinstance(data, CableData) and data.cores > 1
    return circuit.in_parallel * (1 if is_pair else 2)
