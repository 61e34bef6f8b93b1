"""Everything known about each circuit before it is judged."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from electrical.core.ampacity import Surroundings, ampacity
from electrical.core.bundles import LONELY, LoadedSegments
from electrical.core.design import Circuit, CircuitRole, Design
from electrical.core.dividing import as_solved
from electrical.core.errors import OutOfTable
from electrical.core.fault_levels import FaultLevels, run_fault
from electrical.core.findings import Finding, Subject, SubjectKind
from electrical.core.parts import Cable, Protection
from electrical.core.results import (
    AmpacityVerdict,
    CircuitResult,
    CurrentResult,
    DropResult,
    FaultResult,
    ResistanceResult,
)
from electrical.core.runs import hot_resistance, own_drop_v
from electrical.core.solving import runs_ahead, solve_states
from electrical.core.tree import Tree
from electrical.core.voltages import (
    RunDrop,
    Voltages,
    counts_for_drop,
    worst_of,
)

#: What is missing where a size is in no table, in words.
KNOWN_CABLE = "cable the tables know"


@dataclass(frozen=True, kw_only=True)
class CircuitFacts:
    """One circuit with everything computed about it.

    Parameters
    ----------
    design : Design
        The design it belongs to.
    tree : Tree
        The design by points.
    circuit : Circuit
        The circuit.
    subject : Subject
        The circuit as the subject of findings.
    currents : CurrentResult
        What it carries, as far as known.
    unknown : tuple of str
        Parts whose current is not known.
    ampacity, resistance, drop, fault : results or None
        None where data is missing.
    missing : tuple of str
        What keeps the run from being computed, in words.
    fault_missing : tuple of str
        What keeps the fault current from being computed.
    alone_a : float or None
        Ampacity without neighbours [A].
    around : Surroundings
        Neighbours included.
    voltages : Voltages
        Solved operating states.
    faults : FaultLevels
        Fault currents by point.
    is_far_end : bool
        The circuit is seen from its far end, with the device there.
    is_trial : bool
        Only tried: what would mend a finding is not asked.
    """

    design: Design
    tree: Tree
    circuit: Circuit
    subject: Subject
    currents: CurrentResult
    unknown: tuple[str, ...]
    ampacity: AmpacityVerdict | None
    resistance: ResistanceResult | None
    drop: DropResult | None
    fault: FaultResult | None
    missing: tuple[str, ...]
    fault_missing: tuple[str, ...]
    alone_a: float | None
    around: Surroundings
    voltages: Voltages
    faults: FaultLevels
    is_far_end: bool = False
    is_trial: bool = False

    @property
    def device_name(self) -> str:
        """What messages call the protective device."""
        return "far device" if self.is_far_end else "device"

    @property
    def far(self) -> "CircuitFacts | None":
        """The same run seen from its far end, None without a device there."""
        if self.circuit.to_id is None or self.circuit.protection_at_end is None:
            return None
        return self._seen_from_far

    @cached_property
    def _seen_from_far(self) -> "CircuitFacts":
        circuit = self.circuit
        mirrored = replace(
            circuit,
            from_id=str(circuit.to_id),
            to_id=circuit.from_id,
            protection=circuit.protection_at_end,
            protection_at_end=None,
        )
        loop_ohm = self.resistance.loop_r_ohm if self.resistance else None
        fault, missing = run_fault(self.faults.at(mirrored.from_id), loop_r_ohm=loop_ohm)
        return replace(self, circuit=mirrored, fault=fault, fault_missing=missing, is_far_end=True)

    @property
    def is_laid_out(self) -> bool:
        """Whether cable and way of the run are there."""
        return self.circuit.cable is not None and self.circuit.route is not None

    @property
    def ampacity_a(self) -> float | None:
        """Deciding corrected ampacity [A]."""
        return self.ampacity.deciding.corrected_a if self.ampacity else None

    def result(self, checks: Iterable[Finding]) -> CircuitResult:
        """Return the result with what the rules said."""
        return CircuitResult(
            circuit_id=self.circuit.id,
            currents=self.currents,
            resistance=self.resistance,
            ampacity=self.ampacity,
            drop=self.drop,
            fault=self.fault,
            checks=tuple(checks),
        )


def surroundings(design: Design, circuit: Circuit) -> Surroundings:
    """Return what surrounds a run, neighbours apart.

    Parameters
    ----------
    design : Design
        The design.
    circuit : Circuit
        One of its circuits.

    Returns
    -------
    Surroundings
        With the run's own conductors only.
    """
    route = circuit.route
    if route is None:
        return Surroundings(ambient_c=design.ambient_c)
    ambient_c = route.ambient_c if route.ambient_c is not None else design.ambient_c
    return Surroundings(in_engine_space=route.in_engine_space, ambient_c=ambient_c)


def _ampacity_or_reason(
    design: Design, circuit: Circuit, around: Surroundings
) -> tuple[AmpacityVerdict | None, str]:
    if circuit.cable is None:
        return None, "cable"
    try:
        return ampacity(cable=circuit.cable, rule_set=design.rule_set, around=around), ""
    except OutOfTable as error:
        return None, f"{KNOWN_CABLE} ({error})"


def gather(design: Design, tree: Tree | None = None) -> tuple[dict[str, CircuitFacts], Voltages]:
    """Return the facts of every circuit and the voltages of every operating state.

    Parameters
    ----------
    design : Design
        The design.
    tree : Tree or None
        The same design by points, when the caller has it already.

    Returns
    -------
    tuple of dict and Voltages
        Facts by circuit identifier; voltages by operating state.
    """
    tree = tree or Tree(design=design)
    currents = {circuit.id: tree.currents(circuit) for circuit in design.circuits}
    ampacities = _grouped_ampacities(design, currents)
    limits_a = {
        circuit_id: found.verdict.deciding.corrected_a
        for circuit_id, found in ampacities.items()
        if found.verdict is not None
    }
    voltages = solve_states(design, tree, limits_a)
    solved = as_solved(tree, currents, voltages)
    faults = FaultLevels(design=design)
    facts = {
        circuit.id: _circuit_facts(
            design, tree, circuit, solved[circuit.id], ampacities[circuit.id], voltages, faults
        )
        for circuit in design.circuits
    }
    return _without_the_untold(tree, facts), voltages


def _without_the_untold(tree: Tree, facts: dict[str, CircuitFacts]) -> dict[str, CircuitFacts]:
    """Take the drop from runs behind one whose resistance no table tells: it counts as a joint."""
    untold = {i for i, one in facts.items() if one.is_laid_out and one.resistance is None}
    if not untold:
        return facts
    found = dict(facts)
    for circuit_id, one in facts.items():
        names = [
            f"{KNOWN_CABLE} for {c.label}" for c in runs_ahead(tree, one.circuit) if c.id in untold
        ]
        if names and not one.missing:
            found[circuit_id] = replace(one, drop=None, missing=tuple(names))
    return found


@dataclass(frozen=True)
class _Ampacity:
    """Ampacity of a run, or the reason why there is none."""

    verdict: AmpacityVerdict | None
    reason: str
    alone_a: float | None
    around: Surroundings


def alone_a(design: Design, circuit: Circuit) -> float | None:
    """Return the ampacity of a run without neighbours.

    Parameters
    ----------
    design : Design
        The design.
    circuit : Circuit
        The run.

    Returns
    -------
    float or None
        Ampacity [A]; None without a cable that the tables know.
    """
    return _alone(design, circuit).alone_a


def _alone(design: Design, circuit: Circuit) -> _Ampacity:
    around = surroundings(design, circuit)
    verdict, reason = _ampacity_or_reason(design, circuit, around)
    alone_a = verdict.deciding.corrected_a if verdict is not None else None
    return _Ampacity(verdict, reason, alone_a, around)


def _grouped_ampacities(
    design: Design, currents: Mapping[str, tuple[CurrentResult, tuple[str, ...]]]
) -> dict[str, _Ampacity]:
    alone = {c.id: _alone(design, c) for c in design.circuits}
    alone_a = {i: found.alone_a for i, found in alone.items() if found.alone_a is not None}
    current_a = {
        (circuit_id, state_id): amperes
        for circuit_id, (result, _unknown) in currents.items()
        for state_id, amperes in result.by_state_a.items()
    }
    segments = LoadedSegments(design=design, current_a=current_a, alone_a=alone_a)
    grouped = {}
    for circuit in design.circuits:
        bundle, found = segments.fullest(circuit), alone[circuit.id]
        if bundle != LONELY:
            here = found.around._replace(
                grouped_conductors=bundle.conductors, segment_id=bundle.segment_id
            )
            verdict, reason = _ampacity_or_reason(design, circuit, here)
            found = _Ampacity(verdict, reason, found.alone_a, here)
        grouped[circuit.id] = found
    return grouped


def _circuit_facts(  # noqa: PLR0917 - gathered once, in order of computing
    design: Design,
    tree: Tree,
    circuit: Circuit,
    currents: tuple[CurrentResult, tuple[str, ...]],
    found: _Ampacity,
    voltages: Voltages,
    faults: FaultLevels,
) -> CircuitFacts:
    current, unknown = currents
    verdict = found.verdict
    missing = [found.reason] if found.reason else []
    if circuit.route is None:
        missing.append("length of the run")
    drop = voltages.worst_drop(design, circuit) if not missing else None
    state_id = drop.state_id if drop else current.worst_state_id
    resistance = voltages.hot.get((circuit.id, state_id))
    if resistance is None and not missing:
        missing.append(KNOWN_CABLE)
    fault, fault_missing = run_fault(
        faults.at(circuit.from_id), loop_r_ohm=resistance.loop_r_ohm if resistance else None
    )
    return CircuitFacts(
        design=design,
        tree=tree,
        circuit=circuit,
        subject=Subject(kind=SubjectKind.CIRCUIT, id=circuit.id, label=circuit.label),
        currents=current,
        unknown=unknown,
        ampacity=verdict,
        resistance=resistance,
        drop=drop,
        fault=fault,
        missing=tuple(missing),
        fault_missing=fault_missing,
        alone_a=found.alone_a,
        around=found.around,
        voltages=voltages,
        faults=faults,
    )


def with_choice(
    facts: CircuitFacts, *, cable: Cable, protection: Protection | None, at_end: Protection | None
) -> CircuitFacts:
    """Return the facts of a run with another cable and device, the rest of the net unchanged.

    Parameters
    ----------
    facts : CircuitFacts
        The run as it is.
    cable : Cable
        Cable to try.
    protection, at_end : Protection or None
        Devices to try at its start and at its far end.

    Returns
    -------
    CircuitFacts
        A trial: currents stay, ampacity, resistance, drop and fault at the end are new.
    """
    design = facts.design
    circuit = replace(facts.circuit, cable=cable, protection=protection, protection_at_end=at_end)
    verdict, reason = _ampacity_or_reason(design, circuit, facts.around)
    if verdict is None or circuit.route is None:
        missing = (reason,) if reason else facts.missing
        return replace(
            facts, circuit=circuit, ampacity=None, drop=None, missing=missing, is_trial=True
        )
    limit_a = verdict.deciding.corrected_a
    drop = worst_of(design, circuit, _drops_with(facts, circuit, limit_a), method="run alone")
    amperes = drop.current_a if drop else facts.currents.design_a
    hot = hot_resistance(design, circuit, amperes, limit_a)
    fault, fault_missing = run_fault(
        facts.faults.at(circuit.from_id), loop_r_ohm=hot.loop_r_ohm if hot else None
    )
    return replace(
        facts,
        circuit=circuit,
        ampacity=verdict,
        resistance=hot,
        drop=drop,
        fault=fault,
        fault_missing=fault_missing,
        missing=(),
        is_trial=True,
    )


def _drops_with(facts: CircuitFacts, circuit: Circuit, limit_a: float) -> dict[str, RunDrop]:
    drops = {}
    for state in facts.design.states:
        current_a = facts.currents.by_state_a[state.id]
        if current_a == 0.0 or not counts_for_drop(circuit, state):
            continue
        hot = hot_resistance(facts.design, circuit, current_a, limit_a)
        if hot is None:
            continue
        ahead_v = 0.0
        if circuit.role is not CircuitRole.CHARGING:
            ahead_v = facts.voltages.point_drop_v.get((circuit.from_id, state.id), 0.0)
        drops[state.id] = RunDrop(
            current_a=current_a,
            nominal_a=current_a,
            own_v=own_drop_v(
                circuit,
                loop_r_ohm=hot.loop_r_ohm,
                current_a=current_a,
                state=state,
                start_v=circuit.nominal_v - ahead_v,
            ),
            upstream_v=ahead_v,
        )
    return drops
