"""What it would cost at least to keep a circuit whose drop is a hair too large."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from electrical.core.design import Circuit, OperatingState
from electrical.core.least_drops import Ahead, asked_by_loads, least_own_drop_v
from electrical.core.options import Option
from electrical.core.planning import Plan, Planner

#: One way to lessen a drop: what it costs more, and by how much [V].
Step = tuple[float, float]


def least_extra(planner: Planner, plan: Plan, circuit_id: str, state: OperatingState) -> float:
    """Return the least to be spent above a plan for one circuit to keep its cable.

    Parameters
    ----------
    planner : Planner
        It made the plan.
    plan : dict
        The cheapest there is, drops taken as their least.
    circuit_id : str
        A circuit whose drop is too large in the plan; it and the feeders on the way to
        it stay as planned.
    state : OperatingState
        In which it is too large.

    Returns
    -------
    float
        Cost and mass as one figure; infinite when nothing else helps, 0 or less when
        the drop can not be shown to be too large.

    Notes
    -----
    Along the feeders kept the drop is not less than ``sum R_F sum I`` over everything
    behind them, and the current of a load not less than what it draws behind its own
    cable from the highest voltage there can be. So the drop falls by no more than what
    thicker cables take off those currents, each circuit by itself. The cheapest set of
    thicker cables that takes off enough costs no less than the cheapest when a part of
    a step may be bought (the continuous knapsack).
    """
    way = _Way.to(planner, plan, circuit_id, state)
    drop_v = way.own_drop_v()
    steps: list[Step] = []
    for top, members in _pieces(planner, plan, way).items():
        base_v, some = way.piece(top, members)
        drop_v += base_v
        steps += some
    wanted_v = drop_v - planner.most_drop_v(planner.circuit(circuit_id))
    return 0.0 if wanted_v <= 0.0 else _cheapest(steps, wanted_v)


@dataclass(frozen=True, kw_only=True)
class _Way:
    """The feeders from the source to one circuit, as planned."""

    planner: Planner
    plan: Plan
    state: OperatingState
    circuits: tuple[Circuit, ...]
    aheads: dict[str, Ahead]
    ohm_at: dict[str, float]

    @classmethod
    def to(cls, planner: Planner, plan: Plan, circuit_id: str, state: OperatingState) -> "_Way":
        circuits = [planner.circuit(circuit_id)]
        while (feeder := planner.least.feeder_of(circuits[0])) is not None:
            circuits.insert(0, feeder)
        root_id = circuits[0].from_id
        ahead, ohm = planner.least.at_root(root_id), 0.0
        aheads, ohm_at = {root_id: ahead}, {root_id: 0.0}
        for feeder in circuits[:-1]:
            option = plan[feeder.id].option
            drops_v = planner.least.drops_v(feeder, option, ahead)
            ahead = ahead.beyond((feeder.id, ""), plan[feeder.id].circuit, drops_v)
            ohm += option.loop_r_ohm[state.id]
            aheads[feeder.to_id or ""], ohm_at[feeder.to_id or ""] = ahead, ohm
        return cls(
            planner=planner,
            plan=plan,
            state=state,
            circuits=tuple(circuits),
            aheads=aheads,
            ohm_at=ohm_at,
        )

    @property
    def ids(self) -> frozenset[str]:
        return frozenset(circuit.id for circuit in self.circuits)

    def spent(self, circuit_id: str) -> float:
        choice = self.plan[circuit_id]
        return self.planner.weigh(choice.cost, choice.mass_kg)

    def own_drop_v(self) -> float:
        """In the circuit itself, and what its own current loses on the way [V]."""
        circuit = self.circuits[-1]
        option, ahead = self.plan[circuit.id].option, self.aheads[circuit.from_id]
        total_v = self.planner.least.drops_v(circuit, option, ahead)[self.state.id]
        own_v = total_v - ahead.drop_v[self.state.id]
        return own_v + self.ohm_at[circuit.from_id] * self._least_a(circuit, option, ahead)

    def _least_a(self, circuit: Circuit, option: Option, ahead: Ahead) -> float:
        """Current that a circuit draws at least with a cable, at the end of some feeders [A]."""
        least, state = self.planner.least, self.state
        start_v = least.origin_v(circuit, state.id, ahead) - ahead.drop_v[state.id]
        if circuit.to_id is not None or any(load.position_m for load in circuit.loads):
            power_w, steady_a = least.asked_at_start(circuit, state)
            return power_w / start_v + steady_a
        drop_v = least_own_drop_v(
            circuit,
            loop_r_ohm=option.loop_r_ohm[state.id],
            current_a=self.planner.facts[circuit.id].currents.by_state_a[state.id],
            start_v=start_v,
            state=state,
        )
        power_w, steady_a = asked_by_loads(circuit, state)
        left_v = start_v - drop_v
        return power_w / (left_v if left_v > 0.0 else start_v) + steady_a

    def piece(self, top: str, members: list[str]) -> tuple[float, list[Step]]:
        """What a piece adds to the drop at its cheapest [V], and what thicker cables save.

        What a piece of several circuits costs in the plan above the least of each is
        not spent again: as much of the steps is free.
        """
        planner = self.planner
        ohm = self.ohm_at.get(planner.circuit(top).from_id, 0.0)
        if ohm == 0.0:
            return 0.0, []
        ahead = self.aheads[planner.circuit(top).from_id]
        base_v = free = 0.0
        steps: list[Step] = []
        for member in members:
            circuit = planner.circuit(member)
            options = planner.holding(circuit, ahead)
            base = min(options, key=planner.figure)
            figure = planner.figure(base)
            if members == [top]:
                base, figure = self.plan[member].option, self.spent(member)
            free += self.spent(member) - figure
            if planner.least.goes_on(circuit):
                continue
            member_v = ohm * self._least_a(circuit, base, ahead)
            base_v += member_v
            steps += _best_steps(
                (
                    max(planner.figure(option) - figure, 0.0),
                    member_v - ohm * self._least_a(circuit, option, ahead),
                )
                for option in options
            )
        return base_v, list(_after(steps, free))


def _pieces(planner: Planner, plan: Plan, way: _Way) -> dict[str, list[str]]:
    """What hangs on the way, each piece by its first circuit."""
    found: dict[str, list[str]] = {}
    for circuit_id in plan:
        if circuit_id not in way.ids:
            found.setdefault(_top(planner, circuit_id, way.ids), []).append(circuit_id)
    return found


def _top(planner: Planner, circuit_id: str, kept: frozenset[str]) -> str:
    seen: set[str] = set()
    circuit = planner.circuit(circuit_id)
    while circuit.id not in seen:
        seen.add(circuit.id)
        feeder = planner.least.feeder_of(circuit)
        if feeder is None or feeder.id in kept:
            break
        circuit = feeder
    return circuit.id


def _best_steps(points: Iterable[Step]) -> Iterator[Step]:
    """Steps from one option to the next that are worth most for their cost."""
    hull: list[Step] = [(0.0, 0.0)]
    for cost, volts in sorted(points):
        if volts <= hull[-1][1]:
            continue
        while len(hull) > 1 and _per_volt(hull[-2], hull[-1]) >= _per_volt(hull[-1], (cost, volts)):
            hull.pop()
        hull.append((cost, volts))
    for (cost, volts), (more_cost, more_volts) in pairwise(hull):
        yield more_cost - cost, more_volts - volts


def _after(steps: list[Step], free: float) -> Iterator[Step]:
    """The same steps when so much of their cost is paid already, the best first."""
    for cost, volts in sorted(steps, key=lambda step: step[0] / step[1]):
        paid = min(free, cost)
        free -= paid
        yield cost - paid, volts


def _per_volt(one: Step, other: Step) -> float:
    return (other[0] - one[0]) / (other[1] - one[1])


def _cheapest(steps: list[Step], wanted_v: float) -> float:
    """Least cost of taking off so many volts when a part of a step may be bought."""
    spent = 0.0
    for cost, volts in sorted(steps, key=lambda step: step[0] / step[1]):
        part = min(1.0, wanted_v / volts)
        spent += part * cost
        wanted_v -= part * volts
        if wanted_v <= 1e-12:
            return spent
    return float("inf")
