"""What each circuit carries, by adding up what hangs on it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from electrical.core.conductors import max_r20_ohm_per_km
from electrical.core.demand import NOTHING, Demand, load_demand, together
from electrical.core.design import (
    Circuit,
    CircuitRole,
    Design,
    OperatingState,
    ParallelLink,
    Point,
)
from electrical.core.errors import OutOfTable
from electrical.core.results import CurrentResult
from electrical.core.sources import Board, Converter, Source, SourceKind
from electrical.core.taps import Taps, taps_of

#: A shorter run counts as a joint, without a conductance of its own [m].
LEAST_LENGTH_M = 1e-6
#: How the words begin when current can divide and only the solved network tells how.
RING = "how current divides in the ring through"


@dataclass(frozen=True, kw_only=True)
class Tree:
    """A design seen from its points: what starts and what ends at each.

    Parameters
    ----------
    design : Design
        The design.
    _demands : dict
        Demands already added up, by (circuit, operating state).
    _unfinished : dict
        What is missing ahead of each point, as far as it was asked for.
    """

    design: Design
    _demands: dict[tuple[str, str], Demand] = field(default_factory=dict, repr=False)
    _unfinished: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = field(
        default_factory=dict, repr=False
    )

    @cached_property
    def leaving(self) -> Mapping[str, tuple[Circuit, ...]]:
        """Circuits that start at each point."""
        return self._by_point(lambda circuit: circuit.from_id)

    @cached_property
    def arriving(self) -> Mapping[str, tuple[Circuit, ...]]:
        """Circuits that end at each point."""
        return self._by_point(lambda circuit: circuit.to_id)

    @cached_property
    def giving(self) -> Mapping[str, tuple[Circuit, ...]]:
        """The same without the leads of emergency links, which are open."""
        if not self.design.links:
            return self.leaving
        return {
            point_id: tuple(c for c in circuits if c.role is not CircuitRole.LINK)
            for point_id, circuits in self.leaving.items()
        }

    @cached_property
    def helping(self) -> Mapping[str, tuple[Circuit, ...]]:
        """Leads through which a battery helps to start an engine in an emergency, by battery."""
        found: dict[str, list[Circuit]] = {}
        for link in self.design.links:
            for lead in self.arriving[link.id] if self.can_start(link) else ():
                if lead.from_id == link.second_id:
                    found.setdefault(lead.from_id, []).append(lead)
        return {battery_id: tuple(leads) for battery_id, leads in found.items()}

    def can_start(self, link: ParallelLink) -> bool:
        """Return whether an engine can be started through a link."""
        return not self._missing_to_start(link)

    def _missing_to_start(self, link: ParallelLink) -> str:
        """What keeps the current of an emergency start from being told, in words."""
        if link.current_limited:
            return f"current that the limiter of {link.label} lets through"
        if len({lead.from_id for lead in self.arriving[link.id]}) < 2:
            return f"second lead of {link.label}"
        if not self._starting(link):
            return f"engine that is started from {self.design.points[link.first_id].label}"
        return ""

    @cached_property
    def _has_start(self) -> bool:
        return any(state.starting for state in self.design.states)

    def start_demand(self, link: ParallelLink, state: OperatingState) -> Demand:
        """Return what the engine at the battery that a link helps asks for in one state."""
        return together([self.demand(circuit, state) for circuit in self._starting(link)])

    def _starting(self, link: ParallelLink) -> list[Circuit]:
        leaving = self.leaving[link.first_id]
        return [circuit for circuit in leaving if circuit.role is CircuitRole.STARTING]

    def _by_point(self, end: Callable[[Circuit], str | None]) -> Mapping[str, tuple[Circuit, ...]]:
        found: dict[str, list[Circuit]] = {point_id: [] for point_id in self.design.points}
        for circuit in self.design.circuits:
            point_id = end(circuit)
            if point_id is not None:
                found[point_id].append(circuit)
        return {point_id: tuple(circuits) for point_id, circuits in found.items()}

    @cached_property
    def _feeders(self) -> Mapping[str, tuple[Circuit, ...]]:
        return {
            point_id: tuple(c for c in circuits if c.role is not CircuitRole.CHARGING)
            for point_id, circuits in self.arriving.items()
        }

    def feeders_of(self, point_id: str) -> tuple[Circuit, ...]:
        """Return the circuits that feed a point, charging runs apart."""
        return self._feeders[point_id]

    def asking(self, point_id: str, state: OperatingState) -> tuple[Circuit, ...]:
        """Return the circuits whose currents add up at a point in one state."""
        helping = self.helping.get(point_id, ()) if state.emergency else ()
        return self.giving[point_id] + helping

    def demand(self, circuit: Circuit, state: OperatingState) -> Demand:
        """Return what a circuit carries in one operating state.

        What feeds itself in a circle is not followed round: such a circuit carries its
        own largest current where that is told, and is unknown otherwise. So no answer
        depends on which circuit was asked for first.
        """
        key = (circuit.id, state.id)
        found = self._demands.get(key)
        if found is None:
            found = self._demands[key] = self._fresh_demand(circuit, state)
        return found

    def point_demand(self, point_id: str, state: OperatingState) -> Demand:
        """Return what everything that starts at a point asks for in one state."""
        return together([self.demand(c, state) for c in self.asking(point_id, state)])

    def _fresh_demand(self, circuit: Circuit, state: OperatingState) -> Demand:
        if circuit.role is CircuitRole.CHARGING:
            return self._charging(circuit, state)
        if circuit.to_id is None:
            return together([load_demand(load, state) for load in circuit.loads])
        asked = self._onward(circuit, self.design.points[circuit.to_id], state)
        if circuit.max_current_a is not None and asked.unknown:
            return Demand(current_a=max(asked.current_a, circuit.max_current_a))
        return asked

    def _onward(self, circuit: Circuit, end: Point, state: OperatingState) -> Demand:
        """What a circuit carries to the point where it ends."""
        if circuit.id in self._rings:
            return Demand(unknown=(f"{RING} {circuit.label}",))
        match end:
            case Board():
                return self.point_demand(end.id, state).times(self._share(circuit))
            case Converter():
                return self._converter_input(end, circuit, state)
            case Source():
                return Demand(unknown=(f"largest current of {circuit.label}",))
            case ParallelLink():
                return self._through(end, state)

    @cached_property
    def _rings(self) -> frozenset[str]:
        """Circuits that feed themselves, by way of others."""
        followed = {circuit.id: self._followed(circuit) for circuit in self.design.circuits}
        left = set(followed)
        while True:
            ends = {i for i in left if not any(onward in left for onward in followed[i])}
            if not ends:
                break
            left -= ends
        return frozenset(i for i in left if i in _reached(i, followed))

    def _followed(self, circuit: Circuit) -> tuple[str, ...]:
        """Circuits whose currents add up to that of a circuit, in any state."""
        if circuit.role is CircuitRole.CHARGING or circuit.to_id is None:
            return ()
        match self.design.points[circuit.to_id]:
            case Source():
                return ()
            case ParallelLink() as link:
                start = link.first_id
            case end:
                start = end.id
        return tuple([c.id for c in (*self.giving[start], *self.helping.get(start, ()))])

    def _charging(self, circuit: Circuit, state: OperatingState) -> Demand:
        if not state.charging:
            return NOTHING
        start = self.design.points[circuit.from_id]
        limit_a = circuit.max_current_a
        if limit_a is None and isinstance(start, Source | Converter):
            limit_a = start.max_output_a
        if limit_a is None:
            return Demand(unknown=(f"largest charging current of {circuit.label}",))
        return Demand(current_a=limit_a, continuous_a=limit_a)

    def _through(self, link: ParallelLink, state: OperatingState) -> Demand:
        """Through a closed emergency link: all that the battery it helps is asked for."""
        if not state.starting and self._has_start:
            return NOTHING
        missing = self._missing_to_start(link)
        if missing:
            return Demand(unknown=(missing,))
        if not state.emergency:
            return NOTHING
        start = self.start_demand(link, state)
        if start.current_a == 0.0 and not start.unknown:
            label = self.design.points[link.first_id].label
            return Demand(unknown=(f"starting current of the engine on {label}",))
        return self.point_demand(link.first_id, state)

    def _share(self, circuit: Circuit) -> float:
        """Share of a board's demand by conductance, where several circuits feed it."""
        feeders = self.feeders_of(circuit.to_id or "")
        if len(feeders) < 2:
            return 1.0
        weights = {feeder.id: _conductance_s(feeder) for feeder in feeders}
        known = [weight for weight in weights.values() if weight is not None]
        if len(known) < len(weights):
            return 1.0 / len(feeders)
        return (weights[circuit.id] or 0.0) / sum(known)

    def _converter_input(
        self, converter: Converter, circuit: Circuit, state: OperatingState
    ) -> Demand:
        """Input of a converter at its lowest input voltage, where it draws most."""
        if converter.fixed_input_a is not None:
            return Demand(current_a=converter.fixed_input_a, continuous_a=converter.fixed_input_a)
        output = self.point_demand(converter.id, state)
        if output.current_a == 0.0 and not output.unknown:
            return NOTHING
        if converter.efficiency is None:
            return Demand(unknown=(*output.unknown, f"efficiency of {converter.label}"))
        input_v = converter.lowest_input_v or converter.input_cutoff_v or circuit.nominal_v
        return output.times(converter.output_v / (converter.efficiency * input_v))

    def currents(self, circuit: Circuit) -> tuple[CurrentResult, tuple[str, ...]]:
        """Return what a circuit carries in every state, and what is not known.

        Parameters
        ----------
        circuit : Circuit
            One of the design's circuits.

        Returns
        -------
        tuple of CurrentResult and tuple of str
            Currents as far as they are known, and the parts that are not.
        """
        demands = {state.id: self.demand(circuit, state) for state in self.design.states}
        found = list(demands.values())
        by_state_a = {state_id: demand.current_a for state_id, demand in demands.items()}
        worst = max(by_state_a, key=by_state_a.__getitem__)
        starting = [demand for demand in found if demand.start_extra_a > 0.0]
        starts = max(starting, key=Demand.while_starting_a, default=found[0])
        result = CurrentResult(
            by_state_a=by_state_a,
            worst_state_id=worst,
            design_a=by_state_a[worst],
            continuous_a=max([demand.continuous_a for demand in found]),
            start_a=starts.while_starting_a() if starting else None,
            start_s=starts.start_s,
        )
        unknown = dict.fromkeys([name for demand in found for name in demand.unknown])
        return result, tuple(unknown)

    @cached_property
    def taps(self) -> Mapping[str, Taps]:
        """Where the loads of each load circuit are connected."""
        return {c.id: taps_of(c) for c in self.design.circuits if c.to_id is None}

    @cached_property
    def is_meshed(self) -> bool:
        """Whether current can divide: a board with more than one feeder."""
        return any(len(self.feeders_of(board.id)) > 1 for board in self.design.boards)

    @cached_property
    def dividing(self) -> frozenset[str]:
        """Circuits through which current can divide, and those ahead of them."""
        found: set[str] = set()
        points = [b.id for b in self.design.boards if len(self.feeders_of(b.id)) > 1]
        while points:
            point_id = points.pop()
            if not isinstance(self.design.points[point_id], Board):
                continue
            for feeder in self.feeders_of(point_id):
                if feeder.id not in found:
                    found.add(feeder.id)
                    points.append(feeder.from_id)
        return frozenset(found)

    def unfinished_ahead_of(self, circuit: Circuit) -> tuple[str, ...]:
        """Return what is missing on the way from the source to a circuit, in words.

        Runs that are not laid out, and currents that the feeders share and nobody knows.
        """
        unlaid, unknown = self._ahead_of(circuit.from_id)
        return unlaid + unknown

    def unlaid_ahead_of(self, circuit: Circuit) -> tuple[str, ...]:
        """Return which runs on the way from the source to a circuit are not laid out, in words."""
        return self._ahead_of(circuit.from_id)[0]

    def _ahead_of(self, start_id: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
        found = self._unfinished.get(start_id)
        if found is None:
            found = self._unfinished[start_id] = self._missing_ahead(start_id)
        return found

    def _missing_ahead(self, start_id: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Runs that are not laid out, and currents that are not known, on the way to a point."""
        unlaid: dict[str, None] = {}
        unknown: dict[str, None] = {}
        seen: set[str] = set()
        points = [start_id]
        while points:
            point_id = points.pop()
            if point_id in seen or not isinstance(self.design.points[point_id], Board):
                continue
            seen.add(point_id)
            feeders = self.feeders_of(point_id)
            if not feeders:
                unlaid[f"run that feeds {self.design.points[point_id].label}"] = None
            for feeder in feeders:
                if feeder.cable is None or feeder.route is None:
                    unlaid[f"cable and length of {feeder.label}"] = None
                for state in self.design.states:
                    names = self.demand(feeder, state).unknown
                    unknown.update((name, None) for name in names if not name.startswith(RING))
                points.append(feeder.from_id)
        return tuple(unlaid), tuple(unknown)

    def batteries(self) -> tuple[Source, ...]:
        """Return the batteries of the design."""
        return tuple(s for s in self.design.sources if s.kind is SourceKind.BATTERY)

    @cached_property
    def cranking_a(self) -> Mapping[float, float]:
        """Cold cranking current of the batteries together by voltage [V]: [A], where known."""
        return self._of_banks(lambda battery: battery.cca_a)

    @cached_property
    def capacity_ah(self) -> Mapping[float, float]:
        """Capacity of the batteries together by voltage [V]: [Ah], where known."""
        return self._of_banks(lambda battery: battery.capacity_ah)

    def _of_banks(self, value_of: Callable[[Source], float | None]) -> Mapping[float, float]:
        by_v: dict[float, list[float | None]] = {}
        for battery in self.batteries():
            by_v.setdefault(battery.nominal_v, []).append(value_of(battery))
        found = {}
        for volts, values in by_v.items():
            known = [value for value in values if value is not None]
            if len(known) == len(values):
                found[volts] = sum(known)
        return found


def _reached(start: str, followed: Mapping[str, tuple[str, ...]]) -> set[str]:
    """Everything that is followed from a circuit, itself only where it comes back to it."""
    found: set[str] = set()
    ahead = list(followed[start])
    while ahead:
        circuit_id = ahead.pop()
        if circuit_id not in found:
            found.add(circuit_id)
            ahead.extend(followed[circuit_id])
    return found


def _conductance_s(circuit: Circuit) -> float | None:
    """Conductance of a run cold [S]; None when it is not laid out yet, or has no length."""
    if circuit.cable is None or circuit.route is None or circuit.route.length_m < LEAST_LENGTH_M:
        return None
    try:
        r20, _clause = max_r20_ohm_per_km(circuit.cable)
    except OutOfTable:
        return None
    return circuit.cable.in_parallel / (r20 * circuit.route.length_m)
