"""Voltages and drops of every operating state by solving the network."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from electrical.core.design import Circuit, CircuitRole, Design, OperatingState, ParallelLink
from electrical.core.net_names import (
    branch_ids,
    contact_id,
    converter_input,
    first_branch_id,
    link_end,
    load_id,
    minus,
    plus,
    tap,
)
from electrical.core.netlist import Netlist
from electrical.core.network import ConservationError, NoOperatingPoint, Reason, Solved, solve
from electrical.core.results import ResistanceResult, StateResult
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
    hot: dict[tuple[str, str], ResistanceResult] = {}
    states: dict[str, StateResult] = {}
    point_drop_v: dict[tuple[str, str], float] = {}
    for state in design.states:
        solving = _StateSolving(design=design, tree=tree, state=state, limits_a=limits_a)
        outcome = solving.solve()
        found = solving.charging_drops()
        if isinstance(outcome, Solved):
            reading = _Reading(design=design, tree=tree, state=state, solved=outcome)
            found |= reading.run_drops(set(solving.hot))
            states[state.id] = reading.state_result(found)
            for point_id in design.points:
                point_drop_v[point_id, state.id] = reading.point_drop_v(point_id)
        else:
            states[state.id] = _collapsed(design, state, outcome)
        drops |= {(circuit_id, state.id): drop for circuit_id, drop in found.items()}
        hot |= {(circuit_id, state.id): ohm for circuit_id, ohm in solving.hot.items()}
    return Voltages(
        states=states, drops=drops, hot=hot, point_drop_v=point_drop_v, method="network"
    )


def runs_ahead(tree: Tree, circuit: Circuit) -> Iterable[Circuit]:
    """Return the runs between the source, or the converter, and a circuit.

    Parameters
    ----------
    tree : Tree
        The design by points.
    circuit : Circuit
        One of its circuits.

    Returns
    -------
    Iterable of Circuit
        As far as boards join them.
    """
    found: dict[str, Circuit] = {}
    points = [circuit.from_id]
    while points:
        point_id = points.pop()
        if isinstance(tree.design.points[point_id], Board):
            new = [feeder for feeder in tree.feeders_of(point_id) if feeder.id not in found]
            found |= {feeder.id: feeder for feeder in new}
            points += [feeder.from_id for feeder in new]
    return found.values()


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

    @cached_property
    def hot(self) -> Mapping[str, ResistanceResult]:
        """Resistance of each run that is laid out, at the temperature its load gives it."""
        found = {}
        for circuit in self.design.circuits:
            limit_a = self.limits_a.get(circuit.id)
            if limit_a is not None:
                hot = hot_resistance(self.design, circuit, self._current_a(circuit), limit_a)
                if hot is not None:
                    found[circuit.id] = hot
        return found

    def solve(self) -> Solved | NoOperatingPoint | None:
        """The working point, none, or None when currents do not add up well enough."""
        run_ohm = {circuit_id: hot.loop_r_ohm for circuit_id, hot in self.hot.items()}
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

    def charging_drops(self) -> dict[str, RunDrop]:
        """Charging runs at their largest current, each alone."""
        found = {}
        for circuit in self.design.circuits:
            if circuit.role is not CircuitRole.CHARGING:
                continue
            current_a = self.tree.demand(circuit, self.state).current_a
            hot = self.hot.get(circuit.id)
            if hot is not None and current_a > 0.0:
                found[circuit.id] = RunDrop(
                    current_a=current_a,
                    nominal_a=current_a,
                    own_v=hot.loop_r_ohm * current_a,
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
        node_v = self.solved.node_v
        high_v, low_v = node_v.get(plus(name)), node_v.get(minus(name))
        return None if high_v is None or low_v is None else high_v - low_v

    @cached_property
    def points_v(self) -> Mapping[str, float | None]:
        """Voltage of every source, board and converter."""
        return {point_id: self.point_v(point_id) for point_id in self.design.points}

    def origin_v(self, point_id: str) -> float:
        """Highest voltage of the sources and converters that feed a point, 0 when none."""
        found = self.origins_v.get(point_id)
        if found is None:
            found = self.origins_v[point_id] = self._origin_v(point_id)
        return found

    def _origin_v(self, point_id: str, path: tuple[str, ...] = ()) -> float:
        point = self.design.points[point_id]
        if not isinstance(point, Board):
            return self.points_v[point_id] or 0.0
        feeders = (f for f in self.tree.feeders_of(point_id) if f.from_id not in path)
        return max((self._origin_v(f.from_id, (*path, point_id)) for f in feeders), default=0.0)

    def point_drop_v(self, point_id: str) -> float:
        volts = self.points_v[point_id]
        return 0.0 if volts is None else max(0.0, self.origin_v(point_id) - volts)

    def _end_v(self, circuit: Circuit) -> float | None:
        """Voltage at the far end of a run."""
        end = circuit.to_id
        if end is None:
            return self.point_v(tap(circuit, len(self.tree.taps[circuit.id].shares) - 1))
        match self.design.points[end]:
            case Converter():
                return self.point_v(converter_input(end))
            case ParallelLink() as link:
                return self.point_v(link_end(link, circuit))
        return self.points_v[end]

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
        start_v, end_v = self.points_v[circuit.from_id], self._end_v(circuit)
        current_a = self.solved.branch_a.get(first_branch_id(circuit), 0.0)
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
        return StateResult(
            state_id=self.state.id,
            solved=True,
            point_v={i: v for i, v in self.points_v.items() if v is not None},
            circuit_a={
                c.id: drops[c.id].current_a if c.id in drops else 0.0 for c in self.design.circuits
            },
            residual_a=self.solved.residual_a,
            starting_v=self._starting_v() if self.state.starting else {},
            link_a=self._link_a() if self.state.emergency else {},
            source_a=self.solved.source_a,
        )

    def _starting_v(self) -> dict[str, float]:
        found: dict[str, float] = {}
        for circuit in self.design.circuits:
            if circuit.role is not CircuitRole.STARTING or circuit.to_id is not None:
                continue
            for number, loads in enumerate(self.tree.taps[circuit.id].loads):
                volts = self.point_v(tap(circuit, number))
                if volts is not None:
                    found |= {load.id: volts for load in loads}
        return found

    def _link_a(self) -> dict[str, float]:
        through = {
            link.id: self.solved.branch_a.get(contact_id(link)) for link in self.design.links
        }
        return {link_id: amperes for link_id, amperes in through.items() if amperes is not None}
