"""Largest fault current at each point, in closed form."""

from dataclasses import dataclass
from heapq import heappop, heappush

from electrical.core.conductors import area_mm2, least_loop_r_ohm
from electrical.core.design import Circuit, Design
from electrical.core.errors import OutOfTable
from electrical.core.results import FaultResult
from electrical.core.sources import Converter, Source, SourceKind
from electrical.core.status import SourceStatus, least_certain
from electrical.core.tables.battery_fault import typical_internal_r_ohm

#: Open-circuit voltage of a full battery over its nominal voltage; common practice.
FULL_BATTERY_FACTOR = 1.07
#: Voltage per 12 V block at the cold cranking current, by definition of the rating.
CRANKING_V = 7.2
FULL_BLOCK_V = 12.6


@dataclass(frozen=True, kw_only=True)
class SourceFault:
    """What a source gives into a dead short at its terminals.

    Parameters
    ----------
    emf_v : float
        Open-circuit voltage [V].
    r_ohm : float or None
        Internal resistance [Ω]; None for a current-limited source.
    limit_a : float
        Current of a current-limited source [A].
    assumption : str
        Where it comes from, in words.
    status : SourceStatus
        How sure that is.
    """

    emf_v: float
    r_ohm: float | None
    limit_a: float
    assumption: str
    status: SourceStatus

    @property
    def terminal_a(self) -> float:
        """Current into a dead short at the terminals [A]."""
        return self.limit_a if self.r_ohm is None else self.emf_v / self.r_ohm


def emf_v(source: Source) -> float:
    """Return the open-circuit voltage of a full battery [V].

    Parameters
    ----------
    source : Source
        The battery.

    Returns
    -------
    float
        The stated value, else 1.07 times nominal (common practice, no source) [V].
    """
    return source.emf_v if source.emf_v is not None else FULL_BATTERY_FACTOR * source.nominal_v


def source_fault(source: Source) -> SourceFault | None:
    """Return what a source gives into a short, None when it can not be told.

    Parameters
    ----------
    source : Source
        Battery or charging source.

    Returns
    -------
    SourceFault or None
        From the maker's short-circuit figure, the internal resistance, the starting
        current or a typical resistance, in that order. A management limit is not a
        fault rating and is never used.
    """
    volts = emf_v(source)
    if source.kind is not SourceKind.BATTERY:
        return _limited(source, volts)
    if source.short_circuit_a is not None:
        r_ohm = volts / source.short_circuit_a
        return _stiff(
            source, volts, r_ohm, "maker's short-circuit current", SourceStatus.SECOND_HAND
        )
    if source.internal_r_ohm is not None:
        return _stiff(
            source,
            volts,
            source.internal_r_ohm,
            "internal resistance given",
            SourceStatus.SECOND_HAND,
        )
    if source.cca_a is not None:
        r_ohm = (FULL_BLOCK_V - CRANKING_V) * source.nominal_v / 12.0 / source.cca_a
        words = "starting current, which holds at -18 °C; a warm battery gives more"
        return _stiff(source, volts, r_ohm, words, SourceStatus.MEMORY)
    if source.chemistry is not None and source.capacity_ah is not None:
        typical = typical_internal_r_ohm(
            chemistry=source.chemistry,
            capacity_ah=source.capacity_ah,
            nominal_v=source.nominal_v,
        )
        if typical is not None:
            words = f"typical resistance of {source.chemistry.value}"
            return _stiff(source, volts, typical, words, SourceStatus.MEMORY)
    return None


def _stiff(
    source: Source, volts: float, r_ohm: float, words: str, status: SourceStatus
) -> SourceFault:
    return SourceFault(
        emf_v=volts,
        r_ohm=r_ohm,
        limit_a=0.0,
        assumption=f"{source.label}: {words}, {r_ohm * 1000:.2g} mΩ",
        status=status,
    )


def _limited(source: Source, volts: float) -> SourceFault | None:
    if source.max_output_a is None:
        return None
    return SourceFault(
        emf_v=volts,
        r_ohm=None,
        limit_a=source.max_output_a,
        assumption=f"{source.label}: limits itself to {source.max_output_a:g} A",
        status=SourceStatus.PRACTICE,
    )


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
        Each battery alone through the easiest way to the point, added up; that is
        never below the true value. A converter limits its own output.
    """
    point = design.points[point_id]
    if isinstance(point, Converter):
        return _converter_fault(point)
    way_ohm = _easiest_ways_ohm(design, point_id)
    total_a, volts = 0.0, 0.0
    assumptions: list[str] = []
    missing: list[str] = []
    statuses = [SourceStatus.READ]
    for source in design.sources:
        if source.id not in way_ohm:
            continue
        fault = source_fault(source)
        if fault is None:
            if source.kind is SourceKind.BATTERY:
                missing.append(f"short-circuit current or internal resistance of {source.label}")
            continue
        r_ohm = fault.r_ohm
        total_a += fault.limit_a if r_ohm is None else fault.emf_v / (r_ohm + way_ohm[source.id])
        volts = max(volts, fault.emf_v)
        assumptions.append(fault.assumption)
        statuses.append(fault.status)
    if not assumptions and not missing:
        missing.append(f"a source that feeds {point.label}")
    return PointFault(
        current_a=None if missing else total_a,
        emf_v=volts,
        assumptions=tuple(assumptions),
        status=least_certain(*statuses),
        missing=tuple(missing),
    )


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


def _easiest_ways_ohm(design: Design, start_id: str) -> dict[str, float]:
    """Least resistance from a point to every other, not through converters."""
    best: dict[str, float] = {}
    queue = [(0.0, start_id)]
    while queue:
        so_far, point_id = heappop(queue)
        if point_id in best or isinstance(design.points[point_id], Converter):
            continue
        best[point_id] = so_far
        for circuit in design.circuits:
            if circuit.to_id is None or point_id not in {circuit.from_id, circuit.to_id}:
                continue
            other = circuit.to_id if circuit.from_id == point_id else circuit.from_id
            if other not in best:
                heappush(queue, (so_far + _least_r_ohm(circuit), other))
    return best


def circuit_fault(
    design: Design, circuit: Circuit, *, loop_r_ohm: float | None
) -> tuple[FaultResult | None, tuple[str, ...]]:
    """Return the fault currents at both ends of a circuit, and what is missing.

    Parameters
    ----------
    design : Design
        The design.
    circuit : Circuit
        One of its circuits.
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
    point = point_fault(design, circuit.from_id)
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
