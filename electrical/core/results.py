"""Output: what the check of a design computed, with every intermediate value.

Of the tuples here a check makes one for each circuit, in a third of the time of a frozen
dataclass.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from electrical.core.findings import Finding, Severity
from electrical.core.status import Clause, SourceStatus


class ResistanceResult(NamedTuple):
    """Resistance of a run.

    Parameters
    ----------
    r20_ohm_per_km : float
        Maximum resistance of one conductor at 20 °C [Ω/km].
    conductor_temp_c : float
        Conductor temperature used [°C].
    r_ohm_per_km : float
        The same at `conductor_temp_c` [Ω/km].
    loop_r_ohm : float
        Both conductors over the whole length [Ω].
    clause : Clause
        Where the resistance is printed.
    """

    r20_ohm_per_km: float
    conductor_temp_c: float
    r_ohm_per_km: float
    loop_r_ohm: float
    clause: Clause


@dataclass(frozen=True, kw_only=True)
class AmpacityResult:
    """What a conductor may carry.

    Parameters
    ----------
    table_a : float
        Printed value [A], outside engine spaces.
    column_c : int
        Insulation column used [°C].
    size_label : str
        Row used.
    engine_factor : float
        Engine-space factor, 1 outside [-].
    ambient_factor : float
        Factor for air above 30 °C [-]; of this and `engine_factor` the smaller counts.
    group_factor : float
        Grouping factor, 1 when alone [-].
    grouped_conductors : int
        Loaded conductors in the fullest cableway segment, this run's included.
    segment_id : str
        That segment; empty when the run lies in none.
    in_parallel : int
        Conductors in parallel per pole.
    corrected_a : float
        `table_a` × smaller heat factor × `group_factor` × `in_parallel` [A].
    clause : Clause
        Table, with its status.
    """

    table_a: float
    column_c: int
    size_label: str
    engine_factor: float
    ambient_factor: float
    group_factor: float
    grouped_conductors: int
    segment_id: str
    in_parallel: int
    corrected_a: float
    clause: Clause


@dataclass(frozen=True, kw_only=True)
class AmpacityVerdict:
    """The deciding ampacity and, where two tables were compared, the other one.

    Parameters
    ----------
    deciding : AmpacityResult
        The one the rules use.
    compared : AmpacityResult or None
        The table it was compared with.
    from_memory_decides : bool
        The deciding table is known only from memory.
    """

    deciding: AmpacityResult
    compared: AmpacityResult | None = None
    from_memory_decides: bool = False


class DropResult(NamedTuple):
    """Voltage drop at the far end in the worst operating state.

    Parameters
    ----------
    state_id : str
        Worst operating state.
    current_a : float
        Current in this run in that state [A].
    own_v : float
        Drop in this run alone [V].
    upstream_v : float
        Drop from the source to this run's start [V].
    total_v, total_pct : float
        Source to device: the deciding drop [V], [% of nominal].
    limit_pct : float
        Limit [%].
    device_v : float
        Voltage left at the device from nominal at the source [V].
    nominal_a : float
        Current at nominal voltage, for the closed formulas of the standards [A]:
        :func:`electrical.core.drop.closed_formulas`.
    method : str
        ``"network"`` (solved) or ``"run alone"`` (what is ahead of it left unchanged).
    """

    state_id: str
    current_a: float
    own_v: float
    upstream_v: float
    total_v: float
    total_pct: float
    limit_pct: float
    device_v: float
    nominal_a: float
    method: str = "network"


class FaultResult(NamedTuple):
    """Largest fault current at a point.

    Parameters
    ----------
    at_start_a : float
        At the circuit's protective device [A].
    at_end_a : float or None
        At the far end, for the least fault the device must clear [A].
    assumptions : tuple of str
        What was assumed about the sources, in words.
    status : SourceStatus
        Least certain of what went into it.
    """

    at_start_a: float
    at_end_a: float | None
    assumptions: tuple[str, ...]
    status: SourceStatus


class CurrentResult(NamedTuple):
    """Currents a circuit carries.

    Parameters
    ----------
    by_state_a : Mapping[str, float]
        Current by operating state [A].
    worst_state_id : str
        State with the largest.
    design_a : float
        Largest running current [A].
    continuous_a : float
        Part of it that runs for hours, in its worst state [A].
    start_a : float or None
        Largest current while one motor starts and the rest runs [A].
    start_s : float
        How long that lasts [s].
    """

    by_state_a: Mapping[str, float]
    worst_state_id: str
    design_a: float
    continuous_a: float
    start_a: float | None
    start_s: float


@dataclass(frozen=True, kw_only=True)
class CircuitResult:
    """Everything computed for one circuit; None where data is missing.

    Parameters
    ----------
    circuit_id : str
        Which circuit.
    currents : CurrentResult or None
        What it carries.
    resistance : ResistanceResult or None
        Of the run.
    ampacity : AmpacityVerdict or None
        What the conductor may carry.
    drop : DropResult or None
        At the device.
    fault : FaultResult or None
        At its ends.
    checks : tuple of Finding
        Every rule that applies, passes included.
    """

    circuit_id: str
    currents: CurrentResult | None
    resistance: ResistanceResult | None
    ampacity: AmpacityVerdict | None
    drop: DropResult | None
    fault: FaultResult | None
    checks: tuple[Finding, ...] = ()

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Checks somebody has to look at."""
        return tuple(check for check in self.checks if check.is_open)

    @property
    def severity(self) -> Severity:
        """Worst verdict; pass when there is nothing open."""
        worst = min((c.severity for c in self.checks), key=lambda s: s.rank, default=None)
        return worst if worst is not None else Severity.PASS


@dataclass(frozen=True, kw_only=True)
class StateResult:
    """One operating state solved.

    Parameters
    ----------
    state_id : str
        Which state.
    solved : bool
        False when there is no operating point.
    point_v : Mapping[str, float]
        Voltage by point [V].
    circuit_a : Mapping[str, float]
        Current by circuit [A].
    collapsed_ids : tuple of str
        What gives way when there is no operating point: the load, then the run.
    message : str
        One sentence that names it; empty when solved.
    residual_a : float or None
        Largest current left over in any node [A].
    starting_v : Mapping[str, float]
        Voltage at each load of a starting circuit by load [V], where an engine is started.
    link_a : Mapping[str, float]
        Current through each closed emergency link [A], towards the battery it helps.
    source_a : Mapping[str, float]
        What each battery gives [A]; negative where another charges it.
    """

    state_id: str
    solved: bool
    point_v: Mapping[str, float]
    circuit_a: Mapping[str, float]
    collapsed_ids: tuple[str, ...] = ()
    message: str = ""
    residual_a: float | None = None
    starting_v: Mapping[str, float] = field(default_factory=dict)
    link_a: Mapping[str, float] = field(default_factory=dict)
    source_a: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class DesignResult:
    """The whole check.

    Parameters
    ----------
    circuits : Mapping[str, CircuitResult]
        By circuit identifier.
    states : Mapping[str, StateResult]
        By operating state.
    checks : tuple of Finding
        Every check on circuits, boards, sources and the design, passes included.
    """

    circuits: Mapping[str, CircuitResult]
    states: Mapping[str, StateResult]
    checks: tuple[Finding, ...]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Checks somebody has to look at, worst first."""
        found = [check for check in self.checks if check.is_open]
        return tuple(sorted(found, key=lambda f: f.severity.rank))

    def count(self, severity: Severity) -> int:
        """Return how many checks ended with `severity`."""
        return sum(check.severity is severity for check in self.checks)
