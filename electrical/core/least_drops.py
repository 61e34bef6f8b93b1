"""Drops that no choice of cables stays under, before the choice is made."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

from electrical.core.design import Circuit, CircuitRole, Design, OperatingState
from electrical.core.facts import CircuitFacts
from electrical.core.options import Option
from electrical.core.sources import Board
from electrical.core.voltages import Voltages

#: Feeders chosen on the way to a point: circuit and key of its cable.
Path = tuple[tuple[str, str], ...]
#: Steps towards the voltage of a load; each step stays above the true voltage.
VOLTAGE_STEPS = 6


class Asked(NamedTuple):
    """Least that loads ask for together.

    Parameters
    ----------
    power_w : float
        Power, whatever the voltage [W].
    steady_a : float
        Current, whatever the voltage [A].
    """

    power_w: float
    steady_a: float


#: A resistive load keeps at least this share of its current within any drop limit.
RESISTIVE_SHARE = 0.8


def asked_by_loads(circuit: Circuit, state: OperatingState) -> Asked:
    """Return the least that the loads of a circuit ask for within any drop limit.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    state : OperatingState
        Decides which loads are on.

    Returns
    -------
    Asked
        A resistive load counts with 80 % of its current.
    """
    power_w = steady_a = 0.0
    for load in circuit.loads:
        amperes = load.current_in(state.loads_id) or 0.0
        powered, steady, resistive = load.shares
        power_w += powered * amperes * circuit.nominal_v
        steady_a += (steady + RESISTIVE_SHARE * resistive) * amperes
    return Asked(power_w, steady_a)


def least_own_drop_v(
    circuit: Circuit,
    *,
    loop_r_ohm: float,
    current_a: float,
    start_v: float,
    state: OperatingState,
) -> float:
    """Return a drop in a run that the true one is never below [V].

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    loop_r_ohm : float
        Hot resistance of both conductors over the whole length [Ω].
    current_a : float
        Current at nominal voltage [A].
    start_v : float
        Voltage at its start, or more [V].
    state : OperatingState
        Decides which loads are on.

    Returns
    -------
    float
        Drop to the far end [V].

    Notes
    -----
    As :func:`settled_drop_v`; loads along the run count with the resistance up to them.
    """
    if circuit.to_id is not None or not circuit.loads:
        return settled_drop_v(
            start_v, loop_r_ohm, power_w=current_a * circuit.nominal_v, steady_a=0.0, siemens=0.0
        )
    length_m = circuit.route.length_m if circuit.route else 0.0
    power_w = steady_a = siemens = 0.0
    for load in circuit.loads:
        amperes = load.current_in(state.loads_id) or 0.0
        share = 1.0
        if load.position_m is not None and length_m > 0.0:
            share = min(1.0, load.position_m / length_m)
        powered, steady, resistive = load.shares
        power_w += powered * share * amperes * circuit.nominal_v
        steady_a += steady * share * amperes
        siemens += resistive * share * amperes / circuit.nominal_v
    return settled_drop_v(start_v, loop_r_ohm, power_w=power_w, steady_a=steady_a, siemens=siemens)


def settled_drop_v(
    start_v: float, r_ohm: float, *, power_w: float, steady_a: float, siemens: float
) -> float:
    """Return a drop that the true one in front of a mix of loads is never below [V].

    Parameters
    ----------
    start_v : float
        Voltage at the start, or more [V].
    r_ohm : float
        Resistance of both conductors [Ω].
    power_w : float
        Constant power [W].
    steady_a : float
        Constant current [A].
    siemens : float
        Conductance of resistive loads [S].

    Returns
    -------
    float
        Drop [V].

    Notes
    -----
    U ← (U_start − R · (P / U + I)) / (1 + R · G), from U_start downwards: a larger
    voltage asks for less current, so every step stays above the true voltage.
    """
    volts = start_v
    for _step in range(VOLTAGE_STEPS):
        if volts <= 0.0:
            return start_v
        volts = (start_v - r_ohm * (power_w / volts + steady_a)) / (1.0 + r_ohm * siemens)
    return start_v - max(volts, 0.0)


@dataclass(frozen=True, kw_only=True)
class Ahead:
    """What lies ahead of a point.

    Parameters
    ----------
    root_id : str
        Source or converter it lives on.
    path : tuple
        Feeders on the way, with their cables.
    circuits : tuple of Circuit
        The same with cable and device.
    drop_v : Mapping[str, float]
        Least drop up to the point by operating state [V].
    """

    root_id: str
    path: Path
    circuits: tuple[Circuit, ...]
    drop_v: Mapping[str, float]

    def beyond(
        self, step: tuple[str, str], circuit: Circuit, drop_v: Mapping[str, float]
    ) -> "Ahead":
        """Return what lies ahead of the far end of a feeder that starts here."""
        return Ahead(
            root_id=self.root_id,
            path=(*self.path, step),
            circuits=(*self.circuits, circuit),
            drop_v=drop_v,
        )


@dataclass(frozen=True, kw_only=True)
class LeastDrops:
    """Least drops in one design.

    Parameters
    ----------
    design : Design
        The design.
    facts : Mapping[str, CircuitFacts]
        Facts by circuit.
    best_case : Voltages
        Solved with every circuit as thick as may be: no choice draws less current
        through a feeder, or leaves a source at a higher voltage.
    _asked : dict
        What is asked for behind each circuit, by (circuit, operating state).
    """

    design: Design
    facts: Mapping[str, CircuitFacts]
    best_case: Voltages
    _asked: dict[tuple[str, str], Asked] = field(default_factory=dict)

    def at_root(self, point_id: str) -> Ahead:
        """Return what lies ahead of a point where something starts afresh."""
        drop_v = {
            state.id: self.best_case.point_drop_v.get((point_id, state.id), 0.0)
            for state in self.design.states
        }
        return Ahead(root_id=point_id, path=(), circuits=(), drop_v=drop_v)

    def drops_v(self, circuit: Circuit, option: Option, ahead: Ahead) -> dict[str, float]:
        """Return the least drop from the source to the far end, by operating state [V]."""
        currents = self.facts[circuit.id].currents.by_state_a
        passed_on = circuit.role is not CircuitRole.CHARGING
        drops = {}
        for state in self.design.states:
            ahead_v = ahead.drop_v[state.id] if passed_on else 0.0
            own_v = 0.0
            if currents[state.id] > 0.0:
                own_v = self._own_drop_v(circuit, option, state, ahead)
            drops[state.id] = ahead_v + own_v
        return drops

    def _own_drop_v(
        self, circuit: Circuit, option: Option, state: OperatingState, ahead: Ahead
    ) -> float:
        current_a = self.facts[circuit.id].currents.by_state_a[state.id]
        r_ohm = option.loop_r_ohm[state.id]
        if circuit.role is CircuitRole.CHARGING:
            return r_ohm * current_a
        start_v = self.origin_v(circuit, state.id, ahead) - ahead.drop_v[state.id]
        if self.goes_on(circuit):
            power_w, steady_a = self._asked_at_end(circuit, state)
            return settled_drop_v(start_v, r_ohm, power_w=power_w, steady_a=steady_a, siemens=0.0)
        return least_own_drop_v(
            circuit, loop_r_ohm=r_ohm, current_a=current_a, start_v=start_v, state=state
        )

    def origin_v(self, circuit: Circuit, state_id: str, ahead: Ahead) -> float:
        """Return the voltage of the source or converter a circuit lives on, or more [V]."""
        root_v = self.best_case.states[state_id].point_v.get(ahead.root_id)
        root_drop_v = self.best_case.point_drop_v.get((ahead.root_id, state_id), 0.0)
        return circuit.nominal_v if root_v is None else root_v + root_drop_v

    def asked_at_start(self, circuit: Circuit, state: OperatingState) -> Asked:
        """Return what is asked for at the start of a run, whatever is chosen for it and behind."""
        key = (circuit.id, state.id)
        found = self._asked.get(key)
        if found is None:
            power_w, steady_a = self._asked_at_end(circuit, state)
            rise = self._least_rise(circuit, state.id)
            found = self._asked[key] = Asked(power_w * rise, steady_a)
        return found

    def _least_rise(self, circuit: Circuit, state_id: str) -> float:
        """Power taken at the start of a run over that at its end, with the thickest cable."""
        drop = self.best_case.drops.get((circuit.id, state_id))
        if drop is None or circuit.id in self._resistive_behind:
            return 1.0
        return 1.0 + drop.own_v / circuit.nominal_v

    @cached_property
    def _resistive_behind(self) -> set[str]:
        """Circuits with a load at or behind them whose current falls with its voltage."""
        found: set[str] = set()
        waiting = [
            circuit
            for circuit in self.design.circuits
            if any(load.shares[2] > 0.0 for load in circuit.loads)
        ]
        while waiting:
            circuit = waiting.pop()
            if circuit.id not in found:
                found.add(circuit.id)
                waiting += self._feeders[circuit.from_id]
        return found

    def _asked_at_end(self, circuit: Circuit, state: OperatingState) -> Asked:
        if circuit.role is CircuitRole.CHARGING:
            return Asked(0.0, 0.0)
        if circuit.to_id is None:
            return asked_by_loads(circuit, state)
        if self.goes_on(circuit):
            parts = [self.asked_at_start(c, state) for c in self.leaving[circuit.to_id]]
            return Asked(sum(p.power_w for p in parts), sum(p.steady_a for p in parts))
        solved = self.best_case.states[state.id]
        nominal_a = self.facts[circuit.id].currents.by_state_a[state.id]
        return Asked(0.0, solved.circuit_a.get(circuit.id, nominal_a))

    @cached_property
    def leaving(self) -> Mapping[str, tuple[Circuit, ...]]:
        """Circuits that start at each point."""
        return next(iter(self.facts.values())).tree.leaving

    @cached_property
    def _feeders(self) -> Mapping[str, tuple[Circuit, ...]]:
        tree = next(iter(self.facts.values())).tree
        return {point_id: tree.feeders_of(point_id) for point_id in self.design.points}

    def is_fed_by_one(self, point_id: str) -> bool:
        """Return whether a point is a board with one feeder; with several, current can divide."""
        is_board = isinstance(self.design.points[point_id], Board)
        return is_board and len(self._feeders[point_id]) == 1

    def goes_on(self, circuit: Circuit) -> bool:
        """Return whether the drop of a circuit is passed on to what lies behind it."""
        passes_on = circuit.role is not CircuitRole.CHARGING and circuit.to_id is not None
        return passes_on and self.is_fed_by_one(circuit.to_id or "")

    def feeder_of(self, circuit: Circuit) -> Circuit | None:
        """Return the one feeder of the board a circuit starts at, None where there is none."""
        is_one = self.is_fed_by_one(circuit.from_id)
        return self._feeders[circuit.from_id][0] if is_one else None
