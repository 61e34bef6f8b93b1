"""Make the cheapest plan for a radial system, with drops that are never too large."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import product

from electrical.core.choices import DeviceChoice
from electrical.core.design import Circuit, Design
from electrical.core.facts import CircuitFacts
from electrical.core.fault_levels import PointFault, point_fault, run_fault
from electrical.core.least_drops import Ahead, LeastDrops, Path
from electrical.core.options import FAULT_RULES, Option, with_device
from electrical.core.propose import broken_rules, replaced
from electrical.core.voltages import counts_for_drop


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
    least : LeastDrops
        Drops that no choice stays under.
    cuts : set
        Choices known not to hold: circuit and the cables from the source to it.
    _held, _stuck : set
        Circuits for which an option held somewhere, and for which none did at some point.
    _memo : dict
        Plans already made, by point and path.
    _fault_memo : dict
        Fault currents already found, by point and path.
    """

    design: Design
    facts: Mapping[str, CircuitFacts]
    options: Mapping[str, tuple[Option, ...]]
    weigh: Callable[[float, float], float]
    least: LeastDrops
    cuts: set[tuple[str, Path]]
    _held: set[str] = field(default_factory=set)
    _stuck: set[str] = field(default_factory=set)
    _memo: dict[tuple[str, Path], tuple[float, Plan] | None] = field(default_factory=dict)
    _fault_memo: dict[tuple[str, Path], PointFault] = field(default_factory=dict)

    def best(self) -> Plan | None:
        """Return the cheapest plan, None when there is none."""
        plan: Plan = {}
        for point_id in self.design.points:
            if self.least.is_fed_by_one(point_id):
                continue  # reached from its feeder
            found = self._behind(point_id, self.least.at_root(point_id))
            if found is None:
                return None
            plan |= found[1]
        return plan

    def circuit(self, circuit_id: str) -> Circuit:
        """Return a circuit as it is in the design."""
        return self.facts[circuit_id].circuit

    @property
    def hopeless(self) -> frozenset[str]:
        """Circuits for which no option held, whatever lay ahead of them."""
        return frozenset(self._stuck - self._held)

    def cut(self, circuit_id: str, plan: Mapping[str, Choice]) -> tuple[str, Path]:
        """Return what to forbid after a circuit broke a rule in a plan."""
        choice = plan[circuit_id]
        return circuit_id, (*choice.path, (circuit_id, _key(choice.option)))

    @cached_property
    def _least(self) -> Mapping[str, float]:
        """Least figure of everything behind each circuit, itself included."""
        found: dict[str, float] = {}

        def of(circuit: Circuit, path: tuple[str, ...]) -> float:
            if circuit.id in found or circuit.id in path:
                return found.get(circuit.id, 0.0)
            own = min(self.figure(option) for option in self.options[circuit.id])
            behind = 0.0
            if self.least.goes_on(circuit):
                behind = sum(
                    of(c, (*path, circuit.id)) for c in self.least.leaving[circuit.to_id or ""]
                )
            found[circuit.id] = own + behind
            return found[circuit.id]

        for circuit in self.design.circuits:
            of(circuit, ())
        return found

    def figure(self, option: Option) -> float:
        """Return the least figure of an option: its cable with its cheapest device."""
        device = option.devices[0]
        cost = option.cable_cost + (device.cost if device else 0.0) * option.devices_needed
        mass = option.cable_mass_kg + (device.mass_kg if device else 0.0) * option.devices_needed
        return self.weigh(cost, mass)

    def _behind(self, point_id: str, ahead: Ahead) -> tuple[float, Plan] | None:
        """Cheapest plan for everything that starts at a point."""
        key = (point_id, ahead.path)
        if key in self._memo:
            return self._memo[key]
        total = 0.0
        plan: Plan = {}
        for circuit in self.least.leaving[point_id]:
            found = self._one(circuit, ahead)
            if found is None:
                self._memo[key] = None
                return None
            total += found[0]
            plan |= found[1]
        self._memo[key] = (total, plan)
        return self._memo[key]

    def _one(self, circuit: Circuit, ahead: Ahead) -> tuple[float, Plan] | None:
        """Cheapest plan for one circuit and everything behind it."""
        best: tuple[float, Plan] | None = None
        limit = float("inf")
        behind_least = self._least[circuit.id] - min(
            self.figure(option) for option in self.options[circuit.id]
        )
        for option in self.options[circuit.id]:
            if self.figure(option) + behind_least >= limit:
                continue
            found = self._with(circuit, option, ahead)
            if found is not None and found[0] < limit:
                best, limit = found, found[0]
        if best is None:
            self._stuck.add(circuit.id)
        return best

    def _with(self, circuit: Circuit, option: Option, ahead: Ahead) -> tuple[float, Plan] | None:
        path = (*ahead.path, (circuit.id, _key(option)))
        if (circuit.id, path) in self.cuts:
            return None
        drops_v = self.least.drops_v(circuit, option, ahead)
        if option.cable is not None and not self._drop_holds(circuit, drops_v):
            return None
        choice = self._choice(circuit, option, ahead)
        if choice is None:
            return None
        self._held.add(circuit.id)
        figure, plan = self.weigh(choice.cost, choice.mass_kg), {circuit.id: choice}
        if not self.least.goes_on(circuit):
            return figure, plan
        found = self._behind(circuit.to_id or "", ahead.beyond(path[-1], choice.circuit, drops_v))
        return None if found is None else (figure + found[0], plan | found[1])

    def _drop_holds(self, circuit: Circuit, drops_v: Mapping[str, float]) -> bool:
        limit_v = self.most_drop_v(circuit)
        currents = self.facts[circuit.id].currents.by_state_a
        counted = [
            drops_v[s.id]
            for s in self.design.states
            if counts_for_drop(circuit, s) and currents[s.id] > 0.0
        ]
        return max(counted, default=0.0) <= limit_v * (1.0 + 1e-12)

    def holding(self, circuit: Circuit, ahead: Ahead) -> tuple[Option, ...]:
        """Return the options whose drop may hold at the end of some feeders, or all there are."""
        options = self.options[circuit.id]
        found = (
            option
            for option in options
            if self._drop_holds(circuit, self.least.drops_v(circuit, option, ahead))
        )
        return tuple(found) or options

    def most_drop_v(self, circuit: Circuit) -> float:
        """Return the largest drop from source to device that a circuit may have [V]."""
        limit_v = self.design.drop_limit_pct(circuit) / 100.0 * circuit.nominal_v
        needs_v = max((load.min_working_v or 0.0 for load in circuit.loads), default=0.0)
        return min(limit_v, circuit.nominal_v - needs_v)

    def _choice(self, circuit: Circuit, option: Option, ahead: Ahead) -> Choice | None:
        """The cheapest device that also holds in a short circuit."""
        if option.cable is None:
            return Choice(option=option, device=None, circuit=circuit, path=ahead.path)
        faulted = self._faulted(circuit, option, ahead)
        for is_lenient, device in product((False, True), option.devices):
            tried = with_device(faulted, device, both=option.devices_needed == 2)
            if not broken_rules(tried, FAULT_RULES, is_lenient=is_lenient):
                return Choice(option=option, device=device, circuit=tried.circuit, path=ahead.path)
        return None

    def _faulted(self, circuit: Circuit, option: Option, ahead: Ahead) -> CircuitFacts:
        key = (circuit.from_id, ahead.path)
        if key not in self._fault_memo:
            design = self.design
            for chosen in ahead.circuits:
                design = replaced(design, chosen)
            self._fault_memo[key] = point_fault(design, circuit.from_id)
        resistance = option.facts.resistance
        loop_ohm = resistance.loop_r_ohm if resistance else 0.0
        fault, missing = run_fault(self._fault_memo[key], loop_r_ohm=loop_ohm)
        return replace(option.facts, fault=fault, fault_missing=missing)


def _key(option: Option) -> str:
    return option.cable.key if option.cable else ""
