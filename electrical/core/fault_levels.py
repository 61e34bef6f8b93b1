"""Largest fault current at each point, from the network without its loads."""

from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Protocol

from electrical.core.conductors import least_loop_r_ohm, most_loop_r_ohm
from electrical.core.design import Circuit, CircuitRole, Design, ParallelLink, Point
from electrical.core.errors import OutOfTable
from electrical.core.faults import SourceFault, converter_fault, source_fault
from electrical.core.net_names import minus, plus
from electrical.core.netlist import LEAST_R_OHM
from electrical.core.network import Branch, ConservationError, Network, fault_currents
from electrical.core.network import Source as NetSource
from electrical.core.parts import Cable
from electrical.core.results import FaultResult
from electrical.core.sources import Converter, Source, SourceKind
from electrical.core.status import SourceStatus, least_certain

#: A current-limited source is a stiff voltage up to its limit [Ω].
LIMITED_R_OHM = 0.001


@dataclass(frozen=True, kw_only=True)
class PointFault:
    """Largest fault current at a point.

    Parameters
    ----------
    current_a : float or None
        Sum over the sources that reach it [A]; None when it can not be told.
    emf_v : float
        Highest open-circuit voltage behind it, of batteries where there are any [V].
    least_emf_v : float
        Lowest of the batteries that reach it with emergency links open [V]; as `emf_v` where
        there are none.
    assumptions : tuple of str
        About each source, in words.
    status : SourceStatus
        Least certain of them.
    missing : tuple of str
        Data that is missing, in words.
    batteries_a : float
        What flows with emergency links open, nothing charging and every run as hot as its
        insulation allows [A]; 0 where no battery is joined otherwise.
    """

    current_a: float | None
    emf_v: float
    least_emf_v: float
    assumptions: tuple[str, ...]
    status: SourceStatus
    missing: tuple[str, ...]
    batteries_a: float

    def through_a(self, loop_r_ohm: float) -> float | None:
        """Return what a short at the far end of a run is sure to draw.

        Parameters
        ----------
        loop_r_ohm : float
            Hot loop resistance of the run [Ω].

        Returns
        -------
        float or None
            Current [A]; None when it can not be told.

        Notes
        -----
        I_end = E / (E / I + R) with I from the batteries alone, through hot runs, and E the
        lowest of theirs: nothing need be charging, and an emergency link is open most of the
        time. Where everything limits itself, the lesser
        of I and E / R.
        """
        if self.current_a is None:
            return None
        if self.batteries_a > 0.0:
            return self.least_emf_v / (self.least_emf_v / self.batteries_a + loop_r_ohm)
        if loop_r_ohm * self.current_a <= self.emf_v:
            return self.current_a
        return self.emf_v / loop_r_ohm


@dataclass(frozen=True, kw_only=True)
class _Island:
    """Points joined by runs, and what feeds a fault among them.

    Parameters
    ----------
    point_ids : frozenset of str
        The points; a converter stands for its output and passes nothing on.
    faults : dict
        What each source and converter gives, None when not known.
    short_a : Mapping
        Current of a dead short by pair of nodes [A]; empty when it can not be told.
    batteries_a : Mapping
        The same with emergency links open, from the batteries alone and through hot runs.
    """

    point_ids: frozenset[str]
    faults: dict[str, SourceFault | None]
    short_a: "_Shorts"
    batteries_a: "_Shorts"


_Shorts = Mapping[tuple[str, str], float]


class LoopResistance(Protocol):
    """Both conductors of a run [Ω]."""

    def __call__(self, *, cable: Cable, length_m: float) -> float: ...


def _island(design: Design, start_id: str, *, only_there: bool = False) -> _Island:
    """Everything joined to a point, with every largest short in it from one factorisation and
    every least one from another."""
    point_ids = _reached_from(design, start_id)
    faults = {s.id: source_fault(s) for s in design.sources if s.id in point_ids}
    faults |= {c.id: converter_fault(c) for c in design.converters if c.id in point_ids}
    known = {i: fault for i, fault in faults.items() if fault is not None}
    pairs = [(plus(i), minus(i)) for i in ((start_id,) if only_there else point_ids)]
    short_a = _shorts(tuple(_branches(design, point_ids)), known, pairs)
    stiff = {i: fault for i, fault in known.items() if fault.r_ohm is not None}
    at_least = tuple(_branches(design, point_ids, are_links_closed=False, of=most_loop_r_ohm))
    batteries_a = _shorts(at_least, stiff, pairs)
    return _Island(point_ids=point_ids, faults=faults, short_a=short_a, batteries_a=batteries_a)


def _shorts(
    branches: tuple[Branch, ...], faults: Mapping[str, SourceFault], pairs: list[tuple[str, str]]
) -> _Shorts:
    sources = tuple(_net_source(source_id, fault) for source_id, fault in faults.items())
    try:
        found = fault_currents(Network(branches=branches, sources=sources), pairs)
    except ConservationError:
        return {}
    return {pair: fault.current_a for pair, fault in found.items()}


def point_fault(design: Design, point_id: str) -> PointFault:
    """Return the largest fault current at a point, cold and with full copper.

    Parameters
    ----------
    design : Design
        The design.
    point_id : str
        Source, board or converter.

    Returns
    -------
    PointFault
        Of a dead short between the two poles there, from every source that reaches
        it. Charging sources and the outputs of converters add no more than their limit;
        a converter passes nothing on. An emergency link is closed, unless a limiter is
        in it; what is not laid out yet of its leads counts as a joint.
    """
    return _fault_in(design, _island(design, point_id, only_there=True), point_id)


def _fault_in(design: Design, island: _Island, point_id: str) -> PointFault:
    point = design.points[point_id]
    missing = [
        _what_is_missing(design, source_id)
        for source_id, fault in island.faults.items()
        if fault is None
    ]
    known = [fault for fault in island.faults.values() if fault is not None]
    batteries = [fault for fault in known if fault.r_ohm is not None]
    emf_v = max((fault.emf_v for fault in batteries or known), default=0.0)
    if not known and not missing:
        missing.append(f"source that feeds {point.label}")
    current_a = None if missing else island.short_a.get((plus(point_id), minus(point_id)))
    if current_a is None and not missing:
        missing.append(f"resistances from which the fault current at {point.label} follows")
    return PointFault(
        current_a=current_a,
        emf_v=emf_v,
        least_emf_v=min(_emfs_v(design, island, point_id), default=emf_v),
        assumptions=tuple(fault.assumption for fault in known),
        status=least_certain(SourceStatus.READ, *(fault.status for fault in known)),
        missing=tuple(missing),
        batteries_a=island.batteries_a.get((plus(point_id), minus(point_id)), 0.0),
    )


def _emfs_v(design: Design, island: _Island, point_id: str) -> list[float]:
    """Open-circuit voltages of the batteries that reach a point with emergency links open."""
    reached = island.point_ids
    if design.links:
        reached = _reached_from(design, point_id, are_links_closed=False)
    return [
        fault.emf_v
        for source_id, fault in island.faults.items()
        if source_id in reached and fault is not None and fault.r_ohm is not None
    ]


def _what_is_missing(design: Design, point_id: str) -> str:
    point = design.points[point_id]
    if isinstance(point, Source) and point.kind is SourceKind.BATTERY:
        return f"short-circuit current or internal resistance of {point.label}"
    return f"largest output of {point.label}"


def _net_source(source_id: str, fault: SourceFault) -> NetSource:
    return NetSource(
        source_id=source_id,
        positive=plus(source_id),
        negative=minus(source_id),
        emf_v=fault.emf_v,
        resistance_ohm=LIMITED_R_OHM if fault.r_ohm is None else max(fault.r_ohm, LEAST_R_OHM),
        max_current_a=fault.limit_a if fault.r_ohm is None else None,
        min_current_a=0.0 if fault.r_ohm is None else None,
        is_limit_electronic=fault.r_ohm is None,
    )


def _branches(
    design: Design,
    reached: frozenset[str],
    *,
    are_links_closed: bool = True,
    of: LoopResistance = least_loop_r_ohm,
) -> Iterator[Branch]:
    for circuit in _joining(design):
        is_open = circuit.role is CircuitRole.LINK and not are_links_closed
        if circuit.from_id in reached and not is_open:
            ohm = _loop_r_ohm(circuit, of)
            yield from _tie(circuit.id, circuit.from_id, str(circuit.to_id), ohm)
    for link in _bare_links(design):
        if link.first_id in reached and are_links_closed:
            yield from _tie(link.id, link.first_id, link.second_id, link.loop_r_ohm or 0.0)


def _tie(name: str, start: str, end: str, loop_ohm: float) -> Iterator[Branch]:
    for pole in (plus, minus):
        yield Branch(
            branch_id=pole(name),
            from_node=pole(start),
            to_node=pole(end),
            resistance_ohm=max(loop_ohm, LEAST_R_OHM) / 2,
        )


def _joining(design: Design) -> Iterator[Circuit]:
    """Runs that pass a fault on: not into the input of a converter."""
    for circuit in design.circuits:
        end = None if circuit.to_id is None else design.points[circuit.to_id]
        if end is not None and not isinstance(end, Converter) and _passes_on(end):
            yield circuit


def _bare_links(design: Design) -> Iterator[ParallelLink]:
    """Emergency links whose leads are not both among the circuits."""
    led = {(circuit.to_id, circuit.from_id) for circuit in design.circuits}
    for link in design.links:
        ends = {(link.id, link.first_id), (link.id, link.second_id)}
        if _passes_on(link) and not ends <= led:
            yield link


def _reached_from(
    design: Design, start_id: str, *, are_links_closed: bool = True
) -> frozenset[str]:
    """Points joined to one by runs, not through converters."""
    beside: dict[str, list[str]] = {point_id: [] for point_id in design.points}
    ties = [
        (circuit.from_id, str(circuit.to_id))
        for circuit in _joining(design)
        if are_links_closed or circuit.role is not CircuitRole.LINK
    ]
    if are_links_closed:
        ties += [(link.first_id, link.second_id) for link in _bare_links(design)]
    for one, other in ties:
        beside[one].append(other)
        beside[other].append(one)
    reached: set[str] = set()
    waiting = [start_id]
    while waiting:
        point_id = waiting.pop()
        if point_id not in reached:
            reached.add(point_id)
            waiting += beside[point_id]
    return frozenset(reached)


def _passes_on(point: Point) -> bool:
    """Whether a fault is fed through a point: an emergency link counts as closed."""
    return not (isinstance(point, ParallelLink) and point.current_limited)


def _loop_r_ohm(circuit: Circuit, of: LoopResistance) -> float:
    """What is not laid out counts as a joint; rules ask for it."""
    if circuit.cable is None or circuit.route is None:
        return 0.0
    for told in (of, least_loop_r_ohm):  # a size of no table has its area still
        with suppress(OutOfTable):
            return told(cable=circuit.cable, length_m=circuit.route.length_m)
    return 0.0


def run_fault(
    point: PointFault, *, loop_r_ohm: float | None
) -> tuple[FaultResult | None, tuple[str, ...]]:
    """Return the fault currents at both ends of a run, and what is missing.

    Parameters
    ----------
    point : PointFault
        At its start.
    loop_r_ohm : float or None
        Hot loop resistance of the run [Ω]; None when it is not laid out.

    Returns
    -------
    tuple of FaultResult or None, and tuple of str
        At the start the largest, at the end what is sure to flow through the hot run.
    """
    if point.current_a is None or point.current_a <= 0.0:
        return None, point.missing
    fault = FaultResult(
        at_start_a=point.current_a,
        at_end_a=None if loop_r_ohm is None else point.through_a(loop_r_ohm),
        assumptions=point.assumptions,
        status=point.status,
    )
    return fault, ()


@dataclass(frozen=True, kw_only=True)
class FaultLevels:
    """Fault currents of one design, each point computed once.

    Parameters
    ----------
    design : Design
        The design.
    _found : dict
        What was computed already, by point.
    _islands : list
        Parts of the design whose shorts were computed already.
    """

    design: Design
    _found: dict[str, PointFault] = field(default_factory=dict, repr=False, compare=False)
    _islands: list[_Island] = field(default_factory=list, repr=False, compare=False)

    def at(self, point_id: str) -> PointFault:
        """Return the largest fault current at a point."""
        found = self._found.get(point_id)
        if found is None:
            found = self._found[point_id] = self._fresh(point_id)
        return found

    def _fresh(self, point_id: str) -> PointFault:
        for island in self._islands:
            if point_id in island.point_ids:
                return _fault_in(self.design, island, point_id)
        self._islands.append(_island(self.design, point_id))
        return _fault_in(self.design, self._islands[-1], point_id)
