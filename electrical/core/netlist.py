"""A design in one operating state as a network to solve."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from electrical.core.design import (
    Circuit,
    CircuitRole,
    Design,
    OperatingState,
    ParallelLink,
    Point,
)
from electrical.core.faults import source_fault
from electrical.core.net_names import (
    contact_id,
    converter_input,
    link_end,
    load_id,
    minus,
    plus,
    tap,
)
from electrical.core.network import Branch, Network
from electrical.core.network import Converter as NetConverter
from electrical.core.network import Load as NetLoad
from electrical.core.network import Source as NetSource
from electrical.core.parts import Load
from electrical.core.sources import Board, Converter, Source, SourceKind
from electrical.core.tree import RING, Tree

#: A run without length still has a joint at each end [Ω].
LEAST_R_OHM = 2e-5
#: A resistive load above this is as good as off [Ω].
LARGEST_LOAD_OHM = 1e5
#: Less than this is off [A].
LEAST_A = 1e-3
#: Taken for the working point of a battery of which nothing is known [Ω].
UNKNOWN_BATTERY_R_OHM = 0.005
#: Voltage of an empty battery at rest over its nominal voltage; common practice.
EMPTY_SHARE = 0.96


@dataclass(frozen=True, kw_only=True)
class Netlist:
    """Builds the network of one operating state.

    Parameters
    ----------
    design : Design
        The design.
    tree : Tree
        The same design by points.
    state : OperatingState
        Which loads are on.
    run_ohm : Mapping[str, float]
        Hot loop resistance by circuit [Ω]; a run that is absent loses nothing.
    """

    design: Design
    tree: Tree
    state: OperatingState
    run_ohm: Mapping[str, float]

    def network(self) -> Network:
        """Return the network: batteries at nominal voltage, charging left out.

        Charging sources only raise voltages, so the drop is judged without them. In an
        emergency the links are closed and the batteries they help are empty: they stand
        at 0.96 times nominal (common practice, no source), give nothing and may be charged.
        """
        return Network(
            branches=tuple(self._branches()),
            sources=tuple(self._sources()),
            loads=tuple(self._loads()),
            converters=tuple(self._converters()),
        )

    @property
    def runs(self) -> tuple[Circuit, ...]:
        """Circuits that carry current from sources to loads: not the charging runs."""
        runs = [c for c in self.design.circuits if c.role is not CircuitRole.CHARGING]
        if self.design.links:
            runs = [c for c in runs if c.role is not CircuitRole.LINK or c.to_id in self.closed]
        return tuple(runs)

    @cached_property
    def closed(self) -> Mapping[str, ParallelLink]:
        """Links that are closed in this state, by identifier: those that can start an engine."""
        links = self.design.links if self.state.emergency else ()
        return {link.id: link for link in links if self.tree.can_start(link)}

    def _contacts(self) -> Iterator[Branch]:
        """The contact of each closed link, and the return past it."""
        for link in self.closed.values():
            far = f"{link.id} other side"
            for name, pole in ((contact_id(link), plus), (f"{link.id} return", minus)):
                yield Branch(
                    branch_id=name,
                    from_node=pole(far),
                    to_node=pole(link.id),
                    resistance_ohm=LEAST_R_OHM,
                )

    def _branches(self) -> Iterator[Branch]:
        yield from self._contacts()
        run_ohm, points, taps = self.run_ohm, self.design.points, self.tree.taps
        for circuit in self.runs:
            loop_ohm = max(run_ohm.get(circuit.id, 0.0), LEAST_R_OHM)
            if circuit.to_id is not None:
                end = circuit.to_id
                match points[end]:
                    case Converter():
                        end = converter_input(end)
                    case ParallelLink() as link:
                        end = link_end(link, circuit)
                yield from _pair(circuit.id, circuit.from_id, end, loop_ohm)
                continue
            before, start = 0.0, circuit.from_id
            for number, share in enumerate(taps[circuit.id].shares):
                part_ohm = max((share - before) * loop_ohm, LEAST_R_OHM)
                end = tap(circuit, number)
                yield from _pair(f"{circuit.id} part {number}", start, end, part_ohm)
                before, start = share, end

    def _sources(self) -> Iterator[NetSource]:
        empty = {link.first_id for link in self.closed.values()}
        for source in self.design.sources:
            if source.kind is SourceKind.BATTERY:
                is_empty = source.id in empty
                yield NetSource(
                    source_id=source.id,
                    positive=plus(source.id),
                    negative=minus(source.id),
                    emf_v=source.nominal_v * (EMPTY_SHARE if is_empty else 1.0),
                    resistance_ohm=battery_r_ohm(source),
                    max_current_a=0.0 if is_empty else None,
                )

    def _loads(self) -> Iterator[NetLoad]:
        for circuit in self.runs:
            if circuit.to_id is not None:
                end = self.design.points[circuit.to_id]
                if isinstance(end, Converter) and not self._is_solved(end):
                    yield from self._converter_as_load(circuit, end)
                continue
            for number, loads in enumerate(self.tree.taps[circuit.id].loads):
                for load in loads:
                    yield from self._load(circuit, load, tap(circuit, number))
        yield from self._untold()

    def _untold(self) -> Iterator[NetLoad]:
        """What the feeders of a point are told to carry beyond the loads that are known."""
        feeders: dict[str, list[Circuit]] = {}
        for circuit in self.runs:
            end = self.design.points[circuit.to_id] if circuit.to_id is not None else None
            if isinstance(end, Board) or (isinstance(end, Converter) and self._is_solved(end)):
                feeders.setdefault(end.id, []).append(circuit)
        for point_id, circuits in feeders.items():
            if any(circuit.max_current_a is not None for circuit in circuits):
                yield from self._untold_at(self.design.points[point_id], circuits)

    def _untold_at(self, point: Point, feeders: list[Circuit]) -> Iterator[NetLoad]:
        asked = self.tree.point_demand(point.id, self.state)
        told = [self.tree.demand(feeder, self.state) for feeder in feeders]
        if all(name.startswith(RING) for name in asked.unknown) or any(d.unknown for d in told):
            return
        volts, at = feeders[0].nominal_v, point.id
        known_a = asked.current_a
        if isinstance(point, Converter):
            volts, at = input_v(point, feeders[0]), converter_input(point.id)
            known_a *= point.output_v / ((point.efficiency or 1.0) * volts) * len(feeders)
        untold_a = sum(demand.current_a for demand in told) - known_a
        if untold_a >= LEAST_A:
            yield NetLoad(
                load_id=load_id(feeders[0], point.id),
                positive=plus(at),
                negative=minus(at),
                power_w=untold_a * volts,
            )

    def _load(self, circuit: Circuit, load: Load, at: str) -> Iterator[NetLoad]:
        current_a = load.current_in(self.state.loads_id) or 0.0
        if current_a < LEAST_A:
            return
        volts = circuit.nominal_v
        powered, steady, resistive = load.shares
        least_a = volts / LARGEST_LOAD_OHM
        r_ohm = volts / max(resistive * current_a, least_a) if resistive > 0.0 else None
        yield NetLoad(
            load_id=load_id(circuit, load.id),
            positive=plus(at),
            negative=minus(at),
            power_w=powered * current_a * volts,
            current_a=steady * current_a,
            resistance_ohm=r_ohm,
            min_v=load.min_working_v,
        )

    def _is_solved(self, converter: Converter) -> bool:
        """Whether a converter couples two nets; a charger is a plain load instead."""
        charges = any(c.role is CircuitRole.CHARGING for c in self.tree.leaving[converter.id])
        return not charges and converter.fixed_input_a is None and converter.efficiency is not None

    def _converter_as_load(self, circuit: Circuit, converter: Converter) -> Iterator[NetLoad]:
        demand = self.tree.demand(circuit, self.state)
        if demand.current_a < LEAST_A:
            return
        yield NetLoad(
            load_id=load_id(circuit, converter.id),
            positive=plus(converter_input(converter.id)),
            negative=minus(converter_input(converter.id)),
            power_w=demand.current_a * input_v(converter, circuit),
        )

    def _converters(self) -> Iterator[NetConverter]:
        fed = {c.to_id for c in self.runs}
        for converter in self.design.converters:
            if converter.id not in fed or not self._is_solved(converter):
                continue
            at = converter_input(converter.id)
            yield NetConverter(
                converter_id=converter.id,
                in_positive=plus(at),
                in_negative=minus(at),
                out_positive=plus(converter.id),
                out_negative=minus(converter.id),
                out_v=converter.output_v,
                efficiency=converter.efficiency or 1.0,
            )


def input_v(converter: Converter, feeder: Circuit) -> float:
    """Return the input voltage at which a converter draws most [V].

    Parameters
    ----------
    converter : Converter
        The converter.
    feeder : Circuit
        The run that feeds it.

    Returns
    -------
    float
        The lowest at which it works, where that is known, else nominal.
    """
    return converter.lowest_input_v or converter.input_cutoff_v or feeder.nominal_v


def battery_r_ohm(source: Source) -> float:
    """Return the internal resistance of a battery at its working point [Ω].

    Parameters
    ----------
    source : Source
        The battery.

    Returns
    -------
    float
        As for faults; 5 mΩ when nothing is known, which changes the drop between
        its terminals and a device only through the current of constant-power loads.
    """
    fault = source_fault(source)
    if fault is None or fault.r_ohm is None:
        return UNKNOWN_BATTERY_R_OHM
    return max(fault.r_ohm, LEAST_R_OHM)


def _pair(name: str, start: str, end: str, loop_ohm: float) -> tuple[Branch, Branch]:
    """Positive and return conductor, half of the loop each."""
    half_ohm = loop_ohm / 2
    return (
        Branch(
            branch_id=f"{name} +",
            from_node=plus(start),
            to_node=plus(end),
            resistance_ohm=half_ohm,
        ),
        Branch(
            branch_id=f"{name} -",
            from_node=minus(end),
            to_node=minus(start),
            resistance_ohm=half_ohm,
        ),
    )
