"""Which parts stand where petrol vapour may gather."""

from collections.abc import Iterator
from dataclasses import dataclass

from electrical.core.design import Circuit, Design
from electrical.core.parts import Place


@dataclass(frozen=True, kw_only=True)
class PlacedPart:
    """A part that could make a spark, where it is.

    Parameters
    ----------
    id, label : str
        Identifier and name.
    place : Place
        Zone it sits in.
    ignition_protected : bool or None
        Marked as ignition protected; None = not known.
    """

    id: str
    label: str
    place: Place
    ignition_protected: bool | None


def _of_circuit(circuit: Circuit) -> Iterator[tuple[str, str, Place | None, bool | None]]:
    for name, device in (
        ("protective device", circuit.protection),
        ("far device", circuit.protection_at_end),
    ):
        if device is not None:
            label = f"{name} of {circuit.label}"
            yield f"{circuit.id}:{name}", label, device.place, device.ignition_protected
    if circuit.switch is not None:
        switch = circuit.switch
        label = switch.label if switch.id else f"{switch.label} of {circuit.label}"
        part_id = switch.id or f"{circuit.id}:switch"
        yield part_id, label, switch.place, switch.ignition_protected
    for load in circuit.loads:
        if load.has_sparks:
            yield load.id, load.label, load.place, load.ignition_protected


def _of_design(design: Design) -> Iterator[tuple[str, str, Place | None, bool | None]]:
    for circuit in design.circuits:
        yield from _of_circuit(circuit)
    for point in design.points.values():
        yield point.id, point.label, point.place, point.ignition_protected
    for source in design.sources:
        if source.isolator is not None:
            isolator = source.isolator
            yield (
                isolator.id or f"{source.id}:isolator",
                isolator.label,
                isolator.place,
                isolator.ignition_protected,
            )


def parts_in_petrol_vapour(design: Design) -> tuple[PlacedPart, ...]:
    """Return every part that could make a spark in a petrol-vapour space, once each.

    Parameters
    ----------
    design : Design
        The design.

    Returns
    -------
    tuple of PlacedPart
        In the order of the design.
    """
    found = {
        part_id: PlacedPart(id=part_id, label=label, place=place, ignition_protected=protected)
        for part_id, label, place, protected in _of_design(design)
        if place is not None and place.petrol_vapour
    }
    return tuple(found.values())
