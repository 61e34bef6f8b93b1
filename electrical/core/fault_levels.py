"""Largest fault current at each point, from the network without its loads."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from electrical.core.conductors import area_mm2, least_loop_r_ohm
from electrical.core.design import Circuit, Design, ParallelLink
from electrical.core.errors import OutOfTable
from electrical.core.faults import SourceFault, source_fault
from electrical.core.netlist import LEAST_R_OHM, minus, plus
from electrical.core.network import Branch, ConservationError, Network, fault_currents
from electrical.core.network import Source as NetSource
from electrical.core.results import FaultResult
from electrical.core.sources import Converter, SourceKind
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
        Highest open-circuit voltage behind it [V].
    assumptions : tuple of str
        About each source, in words.
    status : SourceStatus
        Least certain of them.
    missing : tuple of str
        Data that is missing, in words.
    """

    current_a: float | None
    emf_v: float
    assumptions: tuple[str, ...]
    status: SourceStatus
    missing: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class _Island:
    """Points joined by runs, and what feeds a fault among them.

    Parameters
    ----------
    point_ids : frozenset of str
        The points; no converter passes a fault on.
    faults : dict
        What each source gives, None when not known.
    short_a : Mapping
        Current of a dead short by pair of nodes [A]; empty when it can not be told.
    """

    point_ids: frozenset[str]
    faults: dict[str, SourceFault | None]
    short_a: Mapping[tuple[str, str], float]


def _island(design: Design, start_id: str, *, only_there: bool = False) -> _Island:
    """Everything joined to a point, with every short in it from one factorisation."""
    point_ids = _reached_from(design, start_id)
    faults = {s.id: source_fault(s) for s in design.sources if s.id in point_ids}
    known = {i: fault for i, fault in faults.items() if fault is not None}
    network = Network(
        branches=tuple(_branches(design, point_ids)),
        sources=tuple(_net_source(source_id, fault) for source_id, fault in known.items()),
    )
    pairs = [(plus(i), minus(i)) for i in ((start_id,) if only_there else point_ids)]
    try:
        found = fault_currents(network, pairs)
    except ConservationError:
        found = {}
    short_a = {pair: fault.current_a for pair, fault in found.items()}
    return _Island(point_ids=point_ids, faults=faults, short_a=short_a)


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
        it. Charging sources add no more than their limit; a converter limits its
        own output and passes nothing on. An emergency link is closed, unless a limiter
        is in it.
    """
    point = design.points[point_id]
    if isinstance(point, Converter):
        return _converter_fault(point)
    return _fault_in(design, _island(design, point_id, only_there=True), point_id)


def _fault_in(design: Design, island: _Island, point_id: str) -> PointFault:
    point = design.points[point_id]
    missing = [
        f"short-circuit current or internal resistance of {source.label}"
        for source in design.sources
        if source.kind is SourceKind.BATTERY
        and source.id in island.faults
        and island.faults[source.id] is None
    ]
    known = [fault for fault in island.faults.values() if fault is not None]
    if not known and not missing:
        missing.append(f"a source that feeds {point.label}")
    current_a = None if missing else island.short_a.get((plus(point_id), minus(point_id)))
    if current_a is None and not missing:
        missing.append(f"resistances from which the fault current at {point.label} follows")
    return PointFault(
        current_a=current_a,
        emf_v=max((fault.emf_v for fault in known), default=0.0),
        assumptions=tuple(fault.assumption for fault in known),
        status=least_certain(SourceStatus.READ, *(fault.status for fault in known)),
        missing=tuple(missing),
    )


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


def _branches(design: Design, reached: frozenset[str]) -> Iterator[Branch]:
    for circuit in design.circuits:
        if circuit.to_id is None or not {circuit.from_id, circuit.to_id} <= reached:
            continue
        if not _passes_on(design, circuit.to_id):
            continue
        half_ohm = max(_least_r_ohm(circuit), LEAST_R_OHM) / 2
        for pole in (plus, minus):
            yield Branch(
                branch_id=pole(circuit.id),
                from_node=pole(circuit.from_id),
                to_node=pole(circuit.to_id),
                resistance_ohm=half_ohm,
            )


def _reached_from(design: Design, start_id: str) -> frozenset[str]:
    """Points joined to one by runs, not through converters."""
    beside: dict[str, list[str]] = {point_id: [] for point_id in design.points}
    for circuit in design.circuits:
        if circuit.to_id is not None and _passes_on(design, circuit.to_id):
            beside[circuit.from_id].append(circuit.to_id)
            beside[circuit.to_id].append(circuit.from_id)
    reached: set[str] = set()
    waiting = [start_id]
    while waiting:
        point_id = waiting.pop()
        if point_id in reached or isinstance(design.points[point_id], Converter):
            continue
        reached.add(point_id)
        waiting += beside[point_id]
    return frozenset(reached)


def _passes_on(design: Design, point_id: str) -> bool:
    """Whether a fault is fed through a point: an emergency link counts as closed."""
    point = design.points[point_id]
    return not (isinstance(point, ParallelLink) and point.current_limited)


def _converter_fault(converter: Converter) -> PointFault:
    limit_a = converter.max_output_a
    missing = () if limit_a is not None else (f"largest output of {converter.label}",)
    return PointFault(
        current_a=limit_a,
        emf_v=converter.output_v,
        assumptions=(f"{converter.label}: limits its own output",),
        status=SourceStatus.PRACTICE,
        missing=missing,
    )


def _least_r_ohm(circuit: Circuit) -> float:
    if circuit.cable is None or circuit.route is None:
        return 0.0
    try:
        area_mm2(circuit.cable.size)
    except OutOfTable:
        return 0.0
    return least_loop_r_ohm(cable=circuit.cable, length_m=circuit.route.length_m)


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
        At the start the largest, at the end what is left through the hot run.

    Notes
    -----
    I_end = E / (E / I_start + R_run).
    """
    if point.current_a is None or point.current_a <= 0.0:
        return None, point.missing
    at_end_a = None
    if loop_r_ohm is not None:
        at_end_a = point.emf_v / (point.emf_v / point.current_a + loop_r_ohm)
    fault = FaultResult(
        at_start_a=point.current_a,
        at_end_a=at_end_a,
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
        point = self.design.points[point_id]
        if isinstance(point, Converter):
            return _converter_fault(point)
        for island in self._islands:
            if point_id in island.point_ids:
                return _fault_in(self.design, island, point_id)
        self._islands.append(_island(self.design, point_id))
        return _fault_in(self.design, self._islands[-1], point_id)
