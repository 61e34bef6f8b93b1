"""Circuits from the sources outwards, and one circuit exchanged for another."""

from collections.abc import Sequence
from dataclasses import replace

from electrical.core.design import Circuit, Design


def replaced(design: Design, circuit: Circuit) -> Design:
    """Return a design with one circuit exchanged.

    Parameters
    ----------
    design : Design
        The design.
    circuit : Circuit
        Takes the place of the circuit with the same identifier.

    Returns
    -------
    Design
        The new design.
    """
    circuits = tuple(circuit if c.id == circuit.id else c for c in design.circuits)
    return replace(design, circuits=circuits)


def outwards(design: Design, circuit_ids: Sequence[str]) -> list[str]:
    """Return circuits in order of their distance from a source, feeders first.

    Parameters
    ----------
    design : Design
        The design.
    circuit_ids : Sequence of str
        Circuits to put in order.

    Returns
    -------
    list of str
        The same circuits.
    """
    depth = depth_of_points(design)
    start = {circuit.id: depth.get(circuit.from_id, len(depth)) for circuit in design.circuits}
    loads_last = {c.id: c.to_id is None for c in design.circuits}
    return sorted(circuit_ids, key=lambda i: (start[i], loads_last[i]))


def depth_of_points(design: Design) -> dict[str, int]:
    """Return how many runs lie between a source and each point it reaches.

    Parameters
    ----------
    design : Design
        The design.

    Returns
    -------
    dict
        Runs by point; points no source reaches are left out.
    """
    depth = dict.fromkeys((source.id for source in design.sources), 0)
    waiting = list(design.circuits)
    while waiting:
        reached = [c for c in waiting if c.from_id in depth]
        if not reached:
            break
        for circuit in reached:
            if circuit.to_id is not None:
                depth.setdefault(circuit.to_id, depth[circuit.from_id] + 1)
        waiting = [c for c in waiting if c not in reached]
    return depth
