"""Voltages and drops of every operating state by solving the network."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from electrical.core.design import Circuit, CircuitRole, Design, OperatingState
from electrical.core.netlist import (
    Netlist,
    branch_ids,
    converter_input,
    load_id,
    minus,
    plus,
    tap,
    taps_of,
)
from electrical.core.network import ConservationError, NoOperatingPoint, Reason, Solved, solve
from electrical.core.results import StateResult
from electrical.core.runs import hot_resistance
from electrical.core.sources import Board, Converter
from electrical.core.tree import Tree
from electrical.core.voltages import RunDrop, Voltages


def solve_states(design: Design, tree: Tree, limits_a: Mapping[str, float]) -> Voltages:
    """Return voltages and drops of every operating state from the solved network.

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
        With method ``"network"``. A state without an operating point has no drops
        and names the part that collapses.

    Notes
    -----
    Batteries stand at their nominal voltage behind their internal resistance, every
    conductor at its maximum resistance and at the temperature its load gives it.
    The drop of a run counts from the terminals of the source, or from the converter,
    that feeds it. Charging runs are taken alone, at their largest current.
    """
    drops: dict[tuple[str, str], RunDrop] = {}
    states: dict[str, StateResult] = {}
    point_drop_v: dict[tuple[str, str], float] = {}
    for state in design.states:
        solving = _StateSolving(design=design, tree=tree, state=state, limits_a=limits_a)
        outcome = solving.solve()
        found = solving.charging_drops()
        if isinstance(outcome, Solved):
            reading = _Reading(design=design, tree=tree, state=state, solved=outcome)
            found |= reading.run_drops(set(limits_a))
            states[state.id] = reading.state_result(found)
            for point_id in design.points:
                point_drop_v[point_id, state.id] = reading.point_drop_v(point_id)
        else:
            states[state.id] = _collapsed(design, state, outcome)
        drops |= {(circuit_id, state.id): drop for circuit_id, drop in found.items()}
    return Voltages(states=states, drops=drops, point_drop_v=point_drop_v, method="network")


#: Said when resistances differ too wildly for currents to add up.
NOT_SOLVED = (
    "The network can not be solved with certainty: sources of different voltage are joined, "
    "or resistances are too far apart."
)


def _collapsed(
    design: Design, state: OperatingState, outcome: NoOperatingPoint | None
) -> StateResult:
    if outcome is None:
        return _unsolved(state, NOT_SOLVED, ())
    names = _names(design)
    load, run = names.get(outcome.load_id or "", ""), names.get(outcome.branch_id or "", "")
    carried_pct = 100.0 * outcome.load_fraction
    message = (
        f"The voltage at {load or 'a load'} collapses: at most {carried_pct:.0f} % of what is on "
        f"can be carried; {run or 'the way to it'} loses most."
    )
    collapsed_ids = tuple(i for i in (outcome.load_id, outcome.branch_id) if i)
    if outcome.reason is Reason.COLLAPSE:
        return _unsolved(state, message, collapsed_ids)
    return _unsolved(state, outcome.message, collapsed_ids)


def _unsolved(state: OperatingState, message: str, collapsed_ids: tuple[str, ...]) -> StateResult:
    return StateResult(
        state_id=state.id,
        solved=False,
        point_v={},
        circuit_a={},
        collapsed_ids=collapsed_ids,
        message=message,
    )


def _names(design: Design) -> dict[str, str]:
    """What people call the loads and branches of the network."""
    names = {}
    for circuit in design.circuits:
        for branch_id in branch_ids(circuit):
            names[branch_id] = circuit.label
        for load in circuit.loads:
            names[load_id(circuit, load.id)] = f"{load.label} on {circuit.label}"
        if circuit.to_id is not None:
            end = design.points[circuit.to_id]
            names[load_id(circuit, end.id)] = f"{end.label} on {circuit.label}"
    for converter in design.converters:
        names[converter.id] = converter.label
    return names


@dataclass(frozen=True, kw_only=True)
class _StateSolving:
    design: Design
    tree: Tree
    state: OperatingState
    limits_a: Mapping[str, float]

    def solve(self) -> Solved | NoOperatingPoint | None:
        """The working point, none, or None when currents do not add up well enough."""
        run_ohm = {}
        for circuit in self.design.circuits:
            ohm = self._loop_ohm(circuit, self._current_a(circuit))
            if ohm is not None:
                run_ohm[circuit.id] = ohm
        netlist = Netlist(design=self.design, tree=self.tree, state=self.state, run_ohm=run_ohm)
        try:
            return solve(netlist.network())
        except ConservationError:
            return None

    def _current_a(self, circuit: Circuit) -> float:
        """Current that heats the run; unknown in a ring, then all it may carry."""
        demand = self.tree.demand(circuit, self.state)
        if demand.unknown and circuit.to_id is not None:
            return max(demand.current_a, self.limits_a.get(circuit.id, 0.0))
        return demand.current_a

    def _loop_ohm(self, circuit: Circuit, current_a: float) -> float | None:
        limit_a = self.limits_a.get(circuit.id)
        if limit_a is None:
            return None
        hot = hot_resistance(self.design, circuit, current_a, limit_a)
        return hot.loop_r_ohm if hot else None

    def charging_drops(self) -> dict[str, RunDrop]:
        """Charging runs at their largest current, each alone."""
        found = {}
        for circuit in self.design.circuits:
            if circuit.role is not CircuitRole.CHARGING:
                continue
            current_a = self.tree.demand(circuit, self.state).current_a
            ohm = self._loop_ohm(circuit, current_a)
            if ohm is not None and current_a > 0.0:
                found[circuit.id] = RunDrop(
                    current_a=current_a,
                    nominal_a=current_a,
                    own_v=ohm * current_a,
                    upstream_v=0.0,
                )
        return found


@dataclass(frozen=True, kw_only=True)
class _Reading:
    """A solved state read by circuits and points."""

    design: Design
    tree: Tree
    state: OperatingState
    solved: Solved
    origins_v: dict[str, float] = field(default_factory=dict)

    def point_v(self, name: str) -> float | None:
        if plus(name) not in self.solved.node_v or minus(name) not in self.solved.node_v:
            return None
        return self.solved.across_v(plus(name), minus(name))

    def origin_v(self, point_id: str) -> float:
        """Highest voltage of the sources and converters that feed a point, 0 when none."""
        found = self.origins_v.get(point_id)
        if found is None:
            found = self.origins_v[point_id] = self._origin_v(point_id)
        return found

    def _origin_v(self, point_id: str, path: tuple[str, ...] = ()) -> float:
        point = self.design.points[point_id]
        if not isinstance(point, Board):
            return self.point_v(point_id) or 0.0
        feeders = (f for f in self.tree.feeders_of(point_id) if f.from_id not in path)
        return max((self._origin_v(f.from_id, (*path, point_id)) for f in feeders), default=0.0)

    def point_drop_v(self, point_id: str) -> float:
        volts = self.point_v(point_id)
        return 0.0 if volts is None else max(0.0, self.origin_v(point_id) - volts)

    def _ends(self, circuit: Circuit) -> tuple[str, str]:
        """Names of the far end and of the first branch."""
        if circuit.to_id is None:
            last = len(taps_of(circuit).shares) - 1
            return tap(circuit, last), branch_ids(circuit)[0]
        end = circuit.to_id
        if isinstance(self.design.points[end], Converter):
            end = converter_input(end)
        return end, branch_ids(circuit)[0]

    def run_drops(self, laid_out: set[str]) -> dict[str, RunDrop]:
        found = {}
        for circuit in self.design.circuits:
            if circuit.role is CircuitRole.CHARGING or circuit.id not in laid_out:
                continue
            drop = self._run_drop(circuit)
            if drop is not None and circuit.route is not None:
                found[circuit.id] = drop
        return found

    def _run_drop(self, circuit: Circuit) -> RunDrop | None:
        end, branch = self._ends(circuit)
        start_v, end_v = self.point_v(circuit.from_id), self.point_v(end)
        current_a = self.solved.branch_a.get(branch, 0.0)
        if start_v is None or end_v is None or abs(current_a) < 1e-9:
            return None
        high_v, low_v = max(start_v, end_v), min(start_v, end_v)
        ahead_v = max(0.0, self.origin_v(circuit.from_id) - high_v)
        demand = self.tree.demand(circuit, self.state)
        return RunDrop(
            current_a=abs(current_a),
            nominal_a=abs(current_a) if demand.unknown else demand.current_a,
            own_v=high_v - low_v,
            upstream_v=ahead_v,
        )

    def state_result(self, drops: Mapping[str, RunDrop]) -> StateResult:
        volts = {i: self.point_v(i) for i in self.design.points}
        return StateResult(
            state_id=self.state.id,
            solved=True,
            point_v={i: v for i, v in volts.items() if v is not None},
            circuit_a={
                c.id: drops[c.id].current_a if c.id in drops else 0.0 for c in self.design.circuits
            },
            residual_a=self.solved.residual_a,
        )
