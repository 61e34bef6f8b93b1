"""Largest fault current at each point, from the network without its loads."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from electrical.core.conductors import area_mm2, least_loop_r_ohm
from electrical.core.design import Circuit, Design
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
        own output and passes nothing on.
    """
    point = design.points[point_id]
    if isinstance(point, Converter):
        return _converter_fault(point)
    reached = _reached_from(design, point_id)
    sources = [source for source in design.sources if source.id in reached]
    faults = {source.id: source_fault(source) for source in sources}
    missing = [
        f"short-circuit current or internal resistance of {source.label}"
        for source in sources
        if faults[source.id] is None and source.kind is SourceKind.BATTERY
    ]
    known = {source.id: fault for source in sources if (fault := faults[source.id]) is not None}
    if not known and not missing:
        missing.append(f"a source that feeds {point.label}")
    current_a = None if missing else _short_a(design, reached, known, point_id)
    if current_a is None and not missing:
        missing.append(f"resistances from which the fault current at {point.label} follows")
    return PointFault(
        current_a=current_a,
        emf_v=max((fault.emf_v for fault in known.values()), default=0.0),
        assumptions=tuple(fault.assumption for fault in known.values()),
        status=least_certain(SourceStatus.READ, *(fault.status for fault in known.values())),
        missing=tuple(missing),
    )


def _short_a(
    design: Design, reached: set[str], known: dict[str, SourceFault], point_id: str
) -> float | None:
    """Current of a dead short at a point [A], None when it can not be computed."""
    network = Network(
        branches=tuple(_branches(design, reached)),
        sources=tuple(_net_source(source_id, fault) for source_id, fault in known.items()),
    )
    pair = (plus(point_id), minus(point_id))
    try:
        return fault_currents(network, [pair])[pair].current_a
    except ConservationError:
        return None


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


def _branches(design: Design, reached: set[str]) -> Iterator[Branch]:
    for circuit in design.circuits:
        if circuit.to_id is None or not {circuit.from_id, circuit.to_id} <= reached:
            continue
        half_ohm = max(_least_r_ohm(circuit), LEAST_R_OHM) / 2
        for pole in (plus, minus):
            yield Branch(
                branch_id=pole(circuit.id),
                from_node=pole(circuit.from_id),
                to_node=pole(circuit.to_id),
                resistance_ohm=half_ohm,
            )


def _reached_from(design: Design, start_id: str) -> set[str]:
    """Points joined to one by runs, not through converters."""
    reached: set[str] = set()
    waiting = [start_id]
    while waiting:
        point_id = waiting.pop()
        if point_id in reached or isinstance(design.points[point_id], Converter):
            continue
        reached.add(point_id)
        for circuit in design.circuits:
            if circuit.to_id is not None and point_id in {circuit.from_id, circuit.to_id}:
                waiting += [circuit.from_id, circuit.to_id]
    return reached


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
    """

    design: Design
    _found: dict[str, PointFault] = field(default_factory=dict, repr=False, compare=False)

    def at(self, point_id: str) -> PointFault:
        """Return the largest fault current at a point."""
        if point_id not in self._found:
            self._found[point_id] = point_fault(self.design, point_id)
        return self._found[point_id]
