"""Voltages in every operating state, and the drop at each device."""

from collections.abc import Mapping
from dataclasses import dataclass

from electrical.core.conductors import area_mm2
from electrical.core.design import Circuit, CircuitRole, Design, OperatingState
from electrical.core.drop import formula_circular_mils, iso_drop_v, us_drop_v
from electrical.core.results import DropResult, StateResult
from electrical.core.runs import hot_resistance, own_drop_v
from electrical.core.sources import Board, Converter
from electrical.core.tree import Tree


@dataclass(frozen=True, kw_only=True)
class RunDrop:
    """Drop along and ahead of one run in one operating state.

    Parameters
    ----------
    current_a : float
        Current in the run [A].
    own_v : float
        In the run alone [V].
    upstream_v : float
        From the source, or the converter, to its start [V].
    """

    current_a: float
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
    point_drop_v : Mapping[tuple[str, str], float]
        Drop from the source to each (point, operating state) [V].
    method : str
        ``"tree"`` or ``"network"``.
    """

    states: Mapping[str, StateResult]
    drops: Mapping[tuple[str, str], RunDrop]
    point_drop_v: Mapping[tuple[str, str], float]
    method: str

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
    """Return the largest of a run's drops with the closed formulas beside it.

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
    """Return whether the drop limit holds for a circuit in a state."""
    return circuit.role is CircuitRole.STARTING or not state.starting


def _drop_result(
    design: Design, circuit: Circuit, state_id: str, drop: RunDrop, method: str
) -> DropResult:
    iso_v = us_v = None
    if circuit.cable is not None and circuit.route is not None:
        length_m, parallel = circuit.route.length_m, circuit.cable.in_parallel
        size = circuit.cable.size
        iso_v = iso_drop_v(
            current_a=drop.current_a, length_m=length_m, size_mm2=area_mm2(size) * parallel
        )
        mils = formula_circular_mils(size) * parallel
        us_v = us_drop_v(current_a=drop.current_a, length_m=length_m, circular_mils=mils)
    to_pct = 100.0 / circuit.nominal_v
    return DropResult(
        state_id=state_id,
        current_a=drop.current_a,
        own_v=drop.own_v,
        upstream_v=drop.upstream_v,
        total_v=drop.total_v,
        total_pct=drop.total_v * to_pct,
        limit_pct=design.drop_limit_pct(circuit),
        device_v=circuit.nominal_v - drop.total_v,
        iso_v=iso_v,
        iso_pct=None if iso_v is None else iso_v * to_pct,
        us_v=us_v,
        us_pct=None if us_v is None else us_v * to_pct,
        method=method,
    )


def solve_states(design: Design, tree: Tree, limits_a: Mapping[str, float]) -> Voltages:
    """Return voltages and drops of every operating state, in closed form along the tree.

    Parameters
    ----------
    design : Design
        The design.
    tree : Tree
        The same design by points.
    limits_a : Mapping[str, float]
        Corrected ampacity by circuit [A], for the conductor temperature.

    Returns
    -------
    Voltages
        With method ``"tree"``.
    """
    drops: dict[tuple[str, str], RunDrop] = {}
    states: dict[str, StateResult] = {}
    point_drop_v: dict[tuple[str, str], float] = {}
    for state in design.states:
        walk = _Walk(design=design, tree=tree, state=state, limits_a=limits_a)
        for circuit in design.circuits:
            drop = walk.run_drop(circuit)
            if drop is not None and drop.current_a > 0.0:
                drops[circuit.id, state.id] = drop
        here_v = {point_id: walk.point_drop_v(point_id) for point_id in design.points}
        point_drop_v |= {(point_id, state.id): volts for point_id, volts in here_v.items()}
        states[state.id] = StateResult(
            state_id=state.id,
            solved=True,
            point_v={i: point_nominal_v(design, i) - here_v[i] for i in design.points},
            circuit_a={c.id: tree.demand(c, state).current_a for c in design.circuits},
        )
    return Voltages(states=states, drops=drops, point_drop_v=point_drop_v, method="tree")


def point_nominal_v(design: Design, point_id: str) -> float:
    """Return the nominal voltage at a point [V]."""
    point = design.points[point_id]
    return point.output_v if isinstance(point, Converter) else point.nominal_v


@dataclass(frozen=True, kw_only=True)
class _Walk:
    """One state walked from the sources outwards."""

    design: Design
    tree: Tree
    state: OperatingState
    limits_a: Mapping[str, float]

    def run_drop(self, circuit: Circuit, path: tuple[str, ...] = ()) -> RunDrop | None:
        current_a = self.tree.demand(circuit, self.state).current_a
        hot = hot_resistance(self.design, circuit, current_a, self.limits_a.get(circuit.id, 0.0))
        if hot is None or circuit.id not in self.limits_a:
            return None
        own_v = own_drop_v(
            circuit, loop_r_ohm=hot.loop_r_ohm, current_a=current_a, state=self.state
        )
        upstream_v = 0.0
        if circuit.role is not CircuitRole.CHARGING:
            upstream_v = self.point_drop_v(circuit.from_id, path)
        return RunDrop(current_a=current_a, own_v=own_v, upstream_v=upstream_v)

    def point_drop_v(self, point_id: str, path: tuple[str, ...] = ()) -> float:
        """Largest drop from a source to a point; 0 at sources and converters."""
        if point_id in path or not isinstance(self.design.points[point_id], Board):
            return 0.0
        runs = (self.run_drop(f, (*path, point_id)) for f in self.tree.feeders_of(point_id))
        return max((run.total_v for run in runs if run is not None), default=0.0)
