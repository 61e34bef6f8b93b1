"""Rules on conductors: what they carry, what they lose, how small they may be."""

from collections.abc import Iterator

from electrical.core.bundles import BRIEF_ROLES
from electrical.core.conductors import area_mm2
from electrical.core.design import CircuitRole, DropClass
from electrical.core.facts import CircuitFacts
from electrical.core.findings import Finding, RuleSet, Severity
from electrical.core.parts import Cable
from electrical.core.rules.registry import CircuitRule, circuit_rule
from electrical.core.sizing import cable_for_current, cable_for_drop
from electrical.core.status import NO_SOURCE, Clause, SourceStatus
from electrical.core.tables import cfr183_425, iso10133
from electrical.core.tables.constants import (
    CRITICAL_DROP_PCT,
    GENERAL_DROP_PCT,
    ISO_DROP_LIMIT_CLAUSE,
    US_DROP_LIMIT_CLAUSE,
)
from electrical.core.voltages import counts_for_drop

_ISO_MIN_SIZE = Clause(source="ISO 10133:2012", clause="7.7", status=SourceStatus.SECOND_HAND)
_US_MIN_SIZE = Clause(source="33 CFR 183.425", clause="(c) to (e)", status=SourceStatus.MEMORY)
#: No text on small craft is known to us; the general code for wiring is taken for both.
_PARALLEL = Clause(source="NFPA 70", clause="310.10(G)", status=SourceStatus.MEMORY)
#: 1/0 AWG [mm²].
LEAST_PARALLEL_MM2 = 53.5


def unsure_of_voltage(facts: CircuitFacts) -> tuple[str, ...]:
    """Return what could still lower the voltage at the far end of a run, in words.

    Parameters
    ----------
    facts : CircuitFacts
        The run.

    Returns
    -------
    tuple of str
        Currents that are not known, runs ahead that are not laid out, and states in which
        it carries current without an operating point.
    """
    return (*facts.unknown, *_open_ahead(facts))


def _open_ahead(facts: CircuitFacts) -> tuple[str, ...]:
    ahead = facts.tree.unfinished_ahead_of(facts.circuit)
    if not facts.voltages.lost:
        return ahead
    carried_a = facts.currents.by_state_a
    lost = [
        f"operating point of the state {state.label}"
        for state in facts.design.states
        if state.id in facts.voltages.lost
        and carried_a[state.id] > 0.0
        and counts_for_drop(facts.circuit, state)
    ]
    return (*ahead, *lost)


@circuit_rule(id="complete", title="Data to check the run", iso=NO_SOURCE, us=NO_SOURCE)
def _complete(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """A run without cable, length or load can not be judged."""
    missing = (*facts.missing, *facts.unknown)
    if not facts.circuit.loads and facts.circuit.to_id is None:
        missing = (*missing, "device it feeds")
    if missing:
        yield rule.cannot_tell(facts, facts.subject, missing)


@circuit_rule(
    id="ampacity",
    title="Load within what the conductor may carry",
    iso=iso10133.CLAUSE,
    us=cfr183_425.CLAUSE,
)
def _ampacity_holds(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """The largest running current stays within the corrected ampacity."""
    if facts.ampacity is None:
        return
    deciding, current_a = facts.ampacity.deciding, facts.currents.design_a
    role = facts.circuit.role
    over = current_a > deciding.corrected_a
    severity = Severity.PASS
    if over:
        severity = Severity.ATTENTION if role in BRIEF_ROLES else Severity.STOP
    elif facts.unknown or facts.circuit.route is None:
        return  # told by "complete"
    subject = facts.subject
    verb = "more than" if over else "within"
    message = (
        f"{subject.label} carries {current_a:.1f} A, {verb} the {deciding.corrected_a:.1f} A "
        f"its {deciding.size_label} may carry here{_memory_note(facts)}."
    )
    if over and role is CircuitRole.STARTING:
        message = message[:-1] + "; the regulation excepts cranking conductors."
    elif over and role is CircuitRole.LINK:
        message = message[:-1] + "; only for the seconds of a start."
    yield rule.about(
        facts,
        subject,
        severity,
        message,
        value=current_a,
        limit=deciding.corrected_a,
        unit="A",
        remedies=cable_for_current(facts, current_a) if over else (),
        state_id=facts.currents.worst_state_id,
        clause=deciding.clause,
    )


def _memory_note(facts: CircuitFacts) -> str:
    if facts.ampacity is None or not facts.ampacity.from_memory_decides:
        return ""
    other = facts.ampacity.compared
    if other is None:
        return "; the value is from memory and no other table holds the size"
    return f"; the value is from memory, {other.clause} gives {other.corrected_a:.1f} A"


@circuit_rule(
    id="drop",
    title="Voltage drop at the device",
    iso=ISO_DROP_LIMIT_CLAUSE,
    us=US_DROP_LIMIT_CLAUSE,
)
def _drop_holds(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """Source to device, hot, at maximum resistance, in the worst operating state."""
    drop = facts.drop
    if drop is None:
        return
    over = drop.total_pct > drop.limit_pct
    if facts.unknown and not over:
        return  # told by "complete"
    subject = facts.subject
    ahead = _open_ahead(facts)
    if ahead and not over:
        yield rule.cannot_tell(facts, subject, ahead)
        return
    own_limit = drop.limit_pct not in {CRITICAL_DROP_PCT, GENERAL_DROP_PCT}
    critical = facts.circuit.drop_class is DropClass.CRITICAL
    kind = (
        "the workshop's own limit"
        if own_limit
        else ("the limit for critical circuits" if critical else "the limit for general circuits")
    )
    verb = "above" if over else "within"
    yield rule.about(
        facts,
        subject,
        Severity.STOP if over else Severity.PASS,
        f"{subject.label} loses {drop.total_v:.2f} V ({drop.total_pct:.1f} %) from source to "
        f"device, {verb} {kind} of {drop.limit_pct:g} %.",
        value=drop.total_pct,
        limit=drop.limit_pct,
        unit="%",
        remedies=cable_for_drop(facts) if over else (),
        state_id=drop.state_id,
    )


@circuit_rule(
    id="working-voltage", title="Enough voltage for the device", iso=NO_SOURCE, us=NO_SOURCE
)
def _working_voltage(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """What is left at the device is not below the least it works with."""
    if facts.drop is None:
        return
    for load in facts.circuit.loads:
        if load.min_working_v is None:
            continue
        low = facts.drop.device_v < load.min_working_v
        if not low and facts.unknown:
            continue  # told by "complete"
        ahead = _open_ahead(facts)
        if not low and ahead:
            yield rule.cannot_tell(facts, facts.subject, ahead)
            continue
        yield rule.about(
            facts,
            facts.subject,
            Severity.STOP if low else Severity.PASS,
            f"{load.label} gets {facts.drop.device_v:.2f} V and works from {load.min_working_v:g} V.",
            value=facts.drop.device_v,
            limit=load.min_working_v,
            unit="V",
            remedies=cable_for_drop(facts) if low else (),
            state_id=facts.drop.state_id,
        )


def least_size_mm2(cable: Cable, rule_set: RuleSet) -> float:
    """Return the least conductor area a rule set allows [mm²].

    Parameters
    ----------
    cable : Cable
        The conductor pair; sheathed cable may be smaller.
    rule_set : RuleSet
        Which rules decide.

    Returns
    -------
    float
        Area [mm²].

    References
    ----------
    .. [1] ISO 10133:2012, 7.7.
    .. [2] 33 CFR 183.425(c) to (e) (from memory).
    """
    if rule_set is RuleSet.ISO:
        return 0.75 if cable.sheathed else 1.0
    return 0.8 if cable.sheathed else 1.3


@circuit_rule(id="least-size", title="Least conductor size", iso=_ISO_MIN_SIZE, us=_US_MIN_SIZE)
def _least_size(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """Conductors are not thinner than handling and strain allow."""
    cable = facts.circuit.cable
    if cable is None or facts.ampacity is None:
        return
    here, least = area_mm2(cable.size), least_size_mm2(cable, facts.design.rule_set)
    thin = here < least
    subject = facts.subject
    words = "in a sheath" if cable.sheathed else "without a sheath"
    yield rule.about(
        facts,
        subject,
        Severity.STOP if thin else Severity.PASS,
        f"{subject.label} has {cable.size.label} {words}; {least:g} mm² is the least.",
        value=here,
        limit=least,
        unit="mm²",
    )


@circuit_rule(
    id="engine-insulation",
    title="Insulation for engine spaces",
    iso=iso10133.ENGINE_CLAUSE,
    us=cfr183_425.CLAUSE,
)
def _engine_insulation(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """ISO does not permit 60 °C insulation in engine spaces."""
    cable, route = facts.circuit.cable, facts.circuit.route
    if facts.design.rule_set is not RuleSet.ISO or cable is None or route is None:
        return
    if not route.in_engine_space or facts.ampacity is None:
        return
    low = iso10133.engine_space_factor(cable.insulation_c) is None
    subject = facts.subject
    yield rule.about(
        facts,
        subject,
        Severity.STOP if low else Severity.PASS,
        f"{subject.label} passes an engine space with {cable.insulation_c} °C insulation; "
        "70 °C is the least there.",
        value=float(cable.insulation_c),
        limit=70.0,
        unit="°C",
    )


@circuit_rule(id="in-parallel", title="Conductors in parallel", iso=_PARALLEL, us=_PARALLEL)
def _in_parallel(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """Conductors in parallel are thick enough that none of them breaks unnoticed."""
    cable = facts.circuit.cable
    if cable is None or cable.in_parallel == 1 or facts.ampacity is None:
        return
    here, subject = area_mm2(cable.size), facts.subject
    thin = here < LEAST_PARALLEL_MM2
    words = f"; {LEAST_PARALLEL_MM2:g} mm² is the least that may share a current" if thin else ""
    yield rule.about(
        facts,
        subject,
        Severity.ATTENTION if thin else Severity.PASS,
        f"{subject.label} has {cable.in_parallel} conductors of {cable.size.label} in parallel in "
        f"each pole{words}. All must be of one length and make, and end together.",
        value=here,
        limit=LEAST_PARALLEL_MM2,
        unit="mm²",
    )


RULES = (
    _complete,
    _ampacity_holds,
    _drop_holds,
    _working_voltage,
    _least_size,
    _engine_insulation,
    _in_parallel,
)
