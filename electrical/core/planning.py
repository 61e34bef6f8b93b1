"""Make the cheapest plan for a radial system, with drops that are never too large."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import product

from electrical.core.choices import DeviceChoice
from electrical.core.design import Circuit, CircuitRole, Design, OperatingState
from electrical.core.facts import CircuitFacts
from electrical.core.fault_levels import PointFault, point_fault
from electrical.core.options import (
    FAULT_RULES,
    Asked,
    Option,
    asked_by_loads,
    least_own_drop_v,
    settled_drop_v,
    with_device,
)
from electrical.core.parts import LoadKind
from electrical.core.propose import broken_rules, replaced
from electrical.core.results import FaultResult
from electrical.core.sources import Board
from electrical.core.voltages import Voltages, counts_for_drop

#: Feeders chosen on the way to a point: circuit and key of its cable.
Path = tuple[tuple[str, str], ...]


@dataclass(frozen=True, kw_only=True)
class Choice:
    """One option taken.

    Parameters
    ----------
    option : Option
        The cable.
    device : DeviceChoice or None
        The device.
    circuit : Circuit
        The circuit with both.
    path : tuple
        Feeders on the way, for cuts.
    """

    option: Option
    device: DeviceChoice | None
    circuit: Circuit
    path: Path

    @property
    def cost(self) -> float:
        """Of cable and devices [currency]."""
        each = self.device.cost if self.device else 0.0
        return self.option.cable_cost + each * self.option.devices_needed

    @property
    def mass_kg(self) -> float:
        """Of cable and devices [kg]."""
        each = self.device.mass_kg if self.device else 0.0
        return self.option.cable_mass_kg + each * self.option.devices_needed


Plan = dict[str, Choice]


@dataclass(frozen=True, kw_only=True)
class _Ahead:
    """What lies ahead of a point: cables chosen, drops, fault current."""

    root_id: str
    path: Path
    circuits: tuple[Circuit, ...]
    drop_v: Mapping[str, float]


@dataclass(frozen=True, kw_only=True)
class Planner:
    """Cheapest plan by branch and bound over the feeders.

    Parameters
    ----------
    design : Design
        The design.
    facts : Mapping[str, CircuitFacts]
        Facts by circuit.
    options : Mapping[str, tuple of Option]
        Options by circuit, cheapest first.
    weigh : callable
        Cost [currency] and mass [kg] to one figure.
    best_case : Voltages
        Solved with every circuit as thick as may be: no choice draws less current
        through a feeder, or leaves a source at a higher voltage.
    cuts : set
        Choices known not to hold: circuit and the cables from the source to it.
    _held, _stuck : set
        Circuits for which an option held somewhere, and for which none did at some point.
    _memo : dict
        Plans already made, by point and path.
    _fault_memo : dict
        Fault currents already found, by point and path.
    _asked : dict
        What is asked for behind each circuit, by (circuit, operating state).
    """

    design: Design
    facts: Mapping[str, CircuitFacts]
    options: Mapping[str, tuple[Option, ...]]
    weigh: Callable[[float, float], float]
    best_case: Voltages
    cuts: set[tuple[str, Path]]
    _held: set[str] = field(default_factory=set)
    _stuck: set[str] = field(default_factory=set)
    _memo: dict[tuple[str, Path], tuple[float, Plan] | None] = field(default_factory=dict)
    _fault_memo: dict[tuple[str, Path], PointFault] = field(default_factory=dict)
    _asked: dict[tuple[str, str], Asked] = field(default_factory=dict)

    def best(self) -> Plan | None:
        """Return the cheapest plan, None when there is none."""
        plan: Plan = {}
        for point_id in self.design.points:
            if self._is_fed_by_one(point_id):
                continue  # reached from its feeder
            drop_v = {
                state_id: self.best_case.point_drop_v.get((point_id, state_id), 0.0)
                for state_id in self._state_ids
            }
            ahead = _Ahead(root_id=point_id, path=(), circuits=(), drop_v=drop_v)
            found = self._behind(point_id, ahead)
            if found is None:
                return None
            plan |= found[1]
        return plan

    def _is_fed_by_one(self, point_id: str) -> bool:
        """A board with one feeder; with several, current can divide ahead of it."""
        is_board = isinstance(self.design.points[point_id], Board)
        return is_board and len(self._feeders[point_id]) == 1

    @property
    def hopeless(self) -> frozenset[str]:
        """Circuits for which no option held, whatever lay ahead of them."""
        return frozenset(self._stuck - self._held)

    def cut(self, circuit_id: str, plan: Mapping[str, Choice]) -> tuple[str, Path]:
        """Return what to forbid after a circuit broke a rule in a plan."""
        choice = plan[circuit_id]
        return circuit_id, (*choice.path, (circuit_id, _key(choice.option)))

    @property
    def _state_ids(self) -> list[str]:
        return [state.id for state in self.design.states]

    @cached_property
    def _leaving(self) -> Mapping[str, tuple[Circuit, ...]]:
        return next(iter(self.facts.values())).tree.leaving

    @cached_property
    def _feeders(self) -> Mapping[str, tuple[Circuit, ...]]:
        tree = next(iter(self.facts.values())).tree
        return {point_id: tree.feeders_of(point_id) for point_id in self.design.points}

    @cached_property
    def _least(self) -> Mapping[str, float]:
        """Least figure of everything behind each circuit, itself included."""
        found: dict[str, float] = {}

        def of(circuit: Circuit, path: tuple[str, ...]) -> float:
            if circuit.id in found or circuit.id in path:
                return found.get(circuit.id, 0.0)
            own = min(self._figure(option) for option in self.options[circuit.id])
            behind = 0.0
            if self._goes_on(circuit):
                behind = sum(of(c, (*path, circuit.id)) for c in self._leaving[circuit.to_id or ""])
            found[circuit.id] = own + behind
            return found[circuit.id]

        for circuit in self.design.circuits:
            of(circuit, ())
        return found

    def _figure(self, option: Option) -> float:
        """Least figure of an option: its cable with its cheapest device."""
        device = option.devices[0]
        cost = option.cable_cost + (device.cost if device else 0.0) * option.devices_needed
        mass = option.cable_mass_kg + (device.mass_kg if device else 0.0) * option.devices_needed
        return self.weigh(cost, mass)

    def _goes_on(self, circuit: Circuit) -> bool:
        """Whether the drop of a circuit is passed on to what lies behind it."""
        passes_on = circuit.role is not CircuitRole.CHARGING and circuit.to_id is not None
        return passes_on and self._is_fed_by_one(circuit.to_id or "")

    def _behind(self, point_id: str, ahead: _Ahead) -> tuple[float, Plan] | None:
        """Cheapest plan for everything that starts at a point."""
        key = (point_id, ahead.path)
        if key in self._memo:
            return self._memo[key]
        total = 0.0
        plan: Plan = {}
        for circuit in self._leaving[point_id]:
            found = self._one(circuit, ahead)
            if found is None:
                self._memo[key] = None
                return None
            total += found[0]
            plan |= found[1]
        self._memo[key] = (total, plan)
        return self._memo[key]

    def _one(self, circuit: Circuit, ahead: _Ahead) -> tuple[float, Plan] | None:
        """Cheapest plan for one circuit and everything behind it."""
        best: tuple[float, Plan] | None = None
        limit = float("inf")
        behind_least = self._least[circuit.id] - min(
            self._figure(option) for option in self.options[circuit.id]
        )
        for option in self.options[circuit.id]:
            if self._figure(option) + behind_least >= limit:
                continue
            found = self._with(circuit, option, ahead)
            if found is not None and found[0] < limit:
                best, limit = found, found[0]
        if best is None:
            self._stuck.add(circuit.id)
        return best

    def _with(self, circuit: Circuit, option: Option, ahead: _Ahead) -> tuple[float, Plan] | None:
        path = (*ahead.path, (circuit.id, _key(option)))
        if (circuit.id, path) in self.cuts:
            return None
        drops_v = self._drops_v(circuit, option, ahead)
        if option.cable is not None and not self._drop_holds(circuit, drops_v):
            return None
        choice = self._choice(circuit, option, ahead)
        if choice is None:
            return None
        self._held.add(circuit.id)
        figure, plan = self.weigh(choice.cost, choice.mass_kg), {circuit.id: choice}
        if not self._goes_on(circuit):
            return figure, plan
        farther = _Ahead(
            root_id=ahead.root_id,
            path=path,
            circuits=(*ahead.circuits, choice.circuit),
            drop_v=drops_v,
        )
        found = self._behind(circuit.to_id or "", farther)
        return None if found is None else (figure + found[0], plan | found[1])

    def _drops_v(self, circuit: Circuit, option: Option, ahead: _Ahead) -> dict[str, float]:
        """Least drop from the source to the far end, by operating state."""
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
        self, circuit: Circuit, option: Option, state: OperatingState, ahead: _Ahead
    ) -> float:
        current_a = self.facts[circuit.id].currents.by_state_a[state.id]
        r_ohm = option.loop_r_ohm[state.id]
        if circuit.role is CircuitRole.CHARGING:
            return r_ohm * current_a
        start_v = self._origin_v(circuit, state.id, ahead) - ahead.drop_v[state.id]
        if self._goes_on(circuit):
            asked = self._asked_behind(circuit, state)
            return settled_drop_v(
                start_v, r_ohm, power_w=asked.power_w, steady_a=asked.steady_a, siemens=0.0
            )
        return least_own_drop_v(
            circuit, loop_r_ohm=r_ohm, current_a=current_a, start_v=start_v, state=state
        )

    def _origin_v(self, circuit: Circuit, state_id: str, ahead: _Ahead) -> float:
        """Voltage of the source or converter a circuit lives on, or more."""
        root_v = self.best_case.states[state_id].point_v.get(ahead.root_id)
        root_drop_v = self.best_case.point_drop_v.get((ahead.root_id, state_id), 0.0)
        return circuit.nominal_v if root_v is None else root_v + root_drop_v

    def _asked_behind(self, circuit: Circuit, state: OperatingState) -> Asked:
        """What is asked for at the end of a circuit, whatever is chosen behind it."""
        key = (circuit.id, state.id)
        found = self._asked.get(key)
        if found is None:
            found = self._asked[key] = self._fresh_asked(circuit, state)
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
            if any(load.kind is LoadKind.RESISTIVE for load in circuit.loads)
        ]
        while waiting:
            circuit = waiting.pop()
            if circuit.id not in found:
                found.add(circuit.id)
                waiting += self._feeders[circuit.from_id]
        return found

    def _fresh_asked(self, circuit: Circuit, state: OperatingState) -> Asked:
        if circuit.role is CircuitRole.CHARGING:
            return Asked(0.0, 0.0)
        if circuit.to_id is None:
            power_w, steady_a = asked_by_loads(circuit, state)
            return Asked(power_w * self._least_rise(circuit, state.id), steady_a)
        if self._goes_on(circuit):
            parts = [self._asked_behind(c, state) for c in self._leaving[circuit.to_id]]
            power_w = sum(p.power_w for p in parts) * self._least_rise(circuit, state.id)
            return Asked(power_w, sum(p.steady_a for p in parts))
        solved = self.best_case.states[state.id]
        nominal_a = self.facts[circuit.id].currents.by_state_a[state.id]
        return Asked(0.0, solved.circuit_a.get(circuit.id, nominal_a))

    def _drop_holds(self, circuit: Circuit, drops_v: Mapping[str, float]) -> bool:
        limit_v = self.design.drop_limit_pct(circuit) / 100.0 * circuit.nominal_v
        currents = self.facts[circuit.id].currents.by_state_a
        counted = [
            drops_v[s.id]
            for s in self.design.states
            if counts_for_drop(circuit, s) and currents[s.id] > 0.0
        ]
        worst_v = max(counted, default=0.0)
        if worst_v > limit_v * (1.0 + 1e-12):
            return False
        least_v = max((load.min_working_v or 0.0 for load in circuit.loads), default=0.0)
        return circuit.nominal_v - worst_v >= least_v

    def _choice(self, circuit: Circuit, option: Option, ahead: _Ahead) -> Choice | None:
        """The cheapest device that also holds in a short circuit."""
        if option.cable is None:
            return Choice(option=option, device=None, circuit=circuit, path=ahead.path)
        faulted = self._faulted(circuit, option, ahead)
        for is_lenient, device in product((False, True), option.devices):
            tried = with_device(faulted, device, both=option.devices_needed == 2)
            if not broken_rules(tried, FAULT_RULES, is_lenient=is_lenient):
                return Choice(option=option, device=device, circuit=tried.circuit, path=ahead.path)
        return None

    def _faulted(self, circuit: Circuit, option: Option, ahead: _Ahead) -> CircuitFacts:
        key = (circuit.from_id, ahead.path)
        if key not in self._fault_memo:
            design = self.design
            for chosen in ahead.circuits:
                design = replaced(design, chosen)
            self._fault_memo[key] = point_fault(design, circuit.from_id)
        point = self._fault_memo[key]
        if point.current_a is None or point.current_a <= 0.0:
            return replace(option.facts, fault=None, fault_missing=point.missing)
        resistance = option.facts.resistance
        loop_ohm = resistance.loop_r_ohm if resistance else 0.0
        fault = FaultResult(
            at_start_a=point.current_a,
            at_end_a=point.emf_v / (point.emf_v / point.current_a + loop_ohm),
            assumptions=point.assumptions,
            status=point.status,
        )
        return replace(option.facts, fault=fault, fault_missing=())


def _key(option: Option) -> str:
    return option.cable.key if option.cable else ""
