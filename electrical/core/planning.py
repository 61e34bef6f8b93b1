"""Make the cheapest plan for a radial system, with drops that are never too large."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from operator import itemgetter

from electrical.core.asked import WISHED_RULES, broken_rules
from electrical.core.choices import DeviceChoice, Figure, Weigh
from electrical.core.design import Circuit, Design
from electrical.core.facts import CircuitFacts
from electrical.core.fault_levels import PointFault, point_fault, run_fault
from electrical.core.least_drops import Ahead, LeastDrops, Path
from electrical.core.options import FAULT_RULES, Option, best_device, with_device
from electrical.core.ordering import replaced
from electrical.core.tree import Tree
from electrical.core.voltages import counts_for_drop

#: Rules that are only wished for and hang on what lies ahead.
WISHED_AHEAD = FAULT_RULES & WISHED_RULES


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
    given_up : int
        Findings of rules that are only wished for which end with "attention".
    """

    option: Option
    device: DeviceChoice | None
    circuit: Circuit
    path: Path
    given_up: int = 0

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


def given_up_in(plan: Plan) -> int:
    """Return what a plan gives up of the rules that are only wished for."""
    return sum(choice.given_up for choice in plan.values())


@dataclass(frozen=True, kw_only=True)
class Planner:
    """Plan that gives up least, the cheapest of those, by branch and bound over the feeders.

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
        Fault currents already found and what is ahead, by point and path.
    _weakest : dict
        The least there can be, by point.
    """

    design: Design
    facts: Mapping[str, CircuitFacts]
    options: Mapping[str, tuple[Option, ...]]
    weigh: Weigh
    least: LeastDrops
    cuts: set[tuple[str, Path]]
    _held: set[str] = field(default_factory=set)
    _stuck: set[str] = field(default_factory=set)
    _memo: dict[tuple[str, Path], tuple[Figure, Plan] | None] = field(default_factory=dict)
    _fault_memo: dict[tuple[str, Path], tuple[PointFault, Tree]] = field(default_factory=dict)
    _weakest: dict[str, PointFault] = field(default_factory=dict)

    def best(self) -> Plan | None:
        """Return the best plan, None when there is none."""
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
    def _least_behind(self) -> Mapping[str, Figure]:
        """What everything behind each circuit gives up and costs at least, itself left out."""
        found: dict[str, Figure] = {}

        def of(circuit: Circuit, path: tuple[str, ...]) -> Figure:
            if circuit.id in found or circuit.id in path:
                return found.get(circuit.id, Figure(0, 0.0))
            behind = Figure(0, 0.0)
            if self.least.goes_on(circuit):
                for each in self.least.leaving[circuit.to_id or ""]:
                    behind = behind.plus(of(each, (*path, circuit.id)))
                    behind = behind.plus(min(self._least[each.id]))
            found[circuit.id] = behind
            return behind

        for circuit in self.design.circuits:
            of(circuit, ())
        return found

    @cached_property
    def _least(self) -> Mapping[str, tuple[Figure, ...]]:
        """What each option of each circuit gives up and costs at least, whatever lies ahead."""
        return {
            circuit_id: tuple(
                Figure(self._least_given_up(circuit_id, option), self.figure(option))
                for option in options
            )
            for circuit_id, options in self.options.items()
        }

    def _least_given_up(self, circuit_id: str, option: Option) -> int:
        """With the weakest short there can be; what a stronger one asks for is no less."""
        if option.cable is None:
            return 0
        from_id = self.circuit(circuit_id).from_id
        if from_id not in self._weakest:
            self._weakest[from_id] = point_fault(self._thinnest, from_id)
        faulted = _with_fault(option, self._weakest[from_id])
        least: int | None = None
        for device, own in zip(option.devices, option.given_up, strict=True):
            tried = with_device(faulted, device, both=option.devices_needed == 2)
            wishes = own + len(broken_rules(tried, WISHED_AHEAD))
            least = wishes if least is None else min(least, wishes)
            if least == 0:
                break
        return least or 0

    @cached_property
    def _thinnest(self) -> Design:
        """Every circuit with the cable of the largest resistance it may have."""
        design = self.design
        for options in self.options.values():
            thinnest = max(options, key=_loop_ohm)
            if thinnest.cable is not None:
                design = replaced(design, thinnest.facts.circuit)
        return design

    def figure(self, option: Option) -> float:
        """Return the least an option costs: its cable with its cheapest device [currency]."""
        device = option.devices[0]
        cost = option.cable_cost + (device.cost if device else 0.0) * option.devices_needed
        mass = option.cable_mass_kg + (device.mass_kg if device else 0.0) * option.devices_needed
        return self.weigh(cost, mass)

    def _behind(self, point_id: str, ahead: Ahead) -> tuple[Figure, Plan] | None:
        """Best plan for everything that starts at a point."""
        key = (point_id, ahead.path)
        if key in self._memo:
            return self._memo[key]
        total = Figure(0, 0.0)
        plan: Plan = {}
        for circuit in self.least.leaving[point_id]:
            found = self._one(circuit, ahead)
            if found is None:
                self._memo[key] = None
                return None
            total = total.plus(found[0])
            plan |= found[1]
        self._memo[key] = (total, plan)
        return self._memo[key]

    def _one(self, circuit: Circuit, ahead: Ahead) -> tuple[Figure, Plan] | None:
        """Best plan for one circuit and everything behind it."""
        best: tuple[Figure, Plan] | None = None
        behind = self._least_behind[circuit.id]
        options = self.options[circuit.id]
        for option, least in sorted(
            zip(options, self._least[circuit.id], strict=True), key=itemgetter(1)
        ):
            if best is not None and not least.plus(behind).is_below(best[0]):
                break
            found = self._with(circuit, option, ahead)
            if found is not None and (best is None or found[0].is_below(best[0])):
                best = found
        if best is None:
            self._stuck.add(circuit.id)
        return best

    def _with(self, circuit: Circuit, option: Option, ahead: Ahead) -> tuple[Figure, Plan] | None:
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
        figure = Figure(choice.given_up, self.weigh(choice.cost, choice.mass_kg))
        plan = {circuit.id: choice}
        if not self.least.goes_on(circuit):
            return figure, plan
        found = self._behind(circuit.to_id or "", ahead.beyond(path[-1], choice.circuit, drops_v))
        return None if found is None else (figure.plus(found[0]), plan | found[1])

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
        """The device that gives up least and holds in a short circuit, the cheapest of those."""
        if option.cable is None:
            return Choice(option=option, device=None, circuit=circuit, path=ahead.path)
        best = best_device(option, self._faulted(circuit, option, ahead))
        if best is None:
            return None
        wishes, device, tried = best
        return Choice(
            option=option,
            device=device,
            circuit=tried.circuit,
            path=ahead.path,
            given_up=wishes,
        )

    def _faulted(self, circuit: Circuit, option: Option, ahead: Ahead) -> CircuitFacts:
        """The run behind the feeders planned, so that rules see their devices too."""
        key = (circuit.from_id, ahead.path)
        if key not in self._fault_memo:
            design = self.design
            for chosen in ahead.circuits:
                design = replaced(design, chosen)
            tree = replace(option.facts.tree, design=design)
            self._fault_memo[key] = point_fault(design, circuit.from_id), tree
        at_start, tree = self._fault_memo[key]
        return replace(_with_fault(option, at_start), design=tree.design, tree=tree)


def _with_fault(option: Option, at_start: PointFault) -> CircuitFacts:
    fault, missing = run_fault(at_start, loop_r_ohm=_loop_ohm(option))
    return replace(option.facts, fault=fault, fault_missing=missing)


def _loop_ohm(option: Option) -> float:
    resistance = option.facts.resistance
    return resistance.loop_r_ohm if resistance else 0.0


def _key(option: Option) -> str:
    return option.cable.key if option.cable else ""
