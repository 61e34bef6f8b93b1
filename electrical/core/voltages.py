"""The drop at each device, picked from the solved operating states."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from electrical.core.design import Circuit, CircuitRole, Design, OperatingState
from electrical.core.results import DropResult, ResistanceResult, StateResult


class RunDrop(NamedTuple):
    """Drop along and ahead of one run in one operating state.

    Parameters
    ----------
    current_a : float
        Current in the run [A].
    nominal_a : float
        The same at nominal voltage, for the closed formulas [A].
    own_v : float
        In the run alone [V].
    upstream_v : float
        From the source, or the converter, to its start [V].
    """

    current_a: float
    nominal_a: float
    own_v: float
    upstream_v: float

    @property
    def total_v(self) -> float:
        """From the source to the far end [V]."""
        return self.own_v + self.upstream_v


@dataclass(frozen=True, kw_only=True)
class Voltages:
    """Solved operating states.

    Parameters
    ----------
    states : Mapping[str, StateResult]
        By operating state.
    drops : Mapping[tuple[str, str], RunDrop]
        By (circuit, operating state), for runs that carry current.
    hot : Mapping[tuple[str, str], ResistanceResult]
        Resistance each was found with, by (circuit, operating state).
    point_drop_v : Mapping[tuple[str, str], float]
        Drop from the source to each (point, operating state) [V].
    method : str
        How they were found: ``"network"``, or ``"run alone"``.
    """

    states: Mapping[str, StateResult]
    drops: Mapping[tuple[str, str], RunDrop]
    hot: Mapping[tuple[str, str], ResistanceResult]
    point_drop_v: Mapping[tuple[str, str], float]
    method: str

    @cached_property
    def lost(self) -> frozenset[str]:
        """States without an operating point."""
        return frozenset([i for i, state in self.states.items() if not state.solved])

    def worst_drop(self, design: Design, circuit: Circuit) -> DropResult | None:
        """Return the drop of a circuit in its worst operating state.

        Parameters
        ----------
        design : Design
            The design.
        circuit : Circuit
            One of its circuits.

        Returns
        -------
        DropResult or None
            None when the run is not laid out or was not solved. Engine starting is
            left out unless the circuit is the starting circuit itself.
        """
        state_ids = [s.id for s in design.states if counts_for_drop(circuit, s)]
        found = {i: self.drops[circuit.id, i] for i in state_ids if (circuit.id, i) in self.drops}
        return worst_of(design, circuit, found, method=self.method)


def worst_of(
    design: Design, circuit: Circuit, drops: Mapping[str, RunDrop], *, method: str
) -> DropResult | None:
    """Return the largest of a run's drops.

    Parameters
    ----------
    design : Design
        The design.
    circuit : Circuit
        One of its circuits.
    drops : Mapping[str, RunDrop]
        Drop by operating state.
    method : str
        How the drops were found.

    Returns
    -------
    DropResult or None
        None when there is no drop to judge.
    """
    if not drops:
        return None
    state_id = max(drops, key=lambda i: drops[i].total_v)
    return _drop_result(design, circuit, state_id, drops[state_id], method)


def counts_for_drop(circuit: Circuit, state: OperatingState) -> bool:
    """Return whether the drop limit holds for a circuit in a state.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    state : OperatingState
        The state.

    Returns
    -------
    bool
        False while an engine is started, but for the starting circuit itself, and in an
        emergency.
    """
    if state.emergency:
        return False
    return circuit.role is CircuitRole.STARTING or not state.starting


def _drop_result(
    design: Design, circuit: Circuit, state_id: str, drop: RunDrop, method: str
) -> DropResult:
    total_v = drop.total_v
    return DropResult(
        state_id=state_id,
        current_a=drop.current_a,
        own_v=drop.own_v,
        upstream_v=drop.upstream_v,
        total_v=total_v,
        total_pct=total_v * 100.0 / circuit.nominal_v,
        limit_pct=design.drop_limit_pct(circuit),
        device_v=circuit.nominal_v - total_v,
        nominal_a=drop.nominal_a,
        method=method,
    )
