"""Rules on short circuits: breaking capacity, conductor withstand, clearing, selectivity."""

from collections.abc import Iterator
from typing import NamedTuple

from electrical.core.curves import operating_time
from electrical.core.design import Circuit
from electrical.core.facts import CircuitFacts
from electrical.core.findings import Finding, Remedy, RemedyKind, Severity
from electrical.core.parts import DeviceType, Protection
from electrical.core.protection import BREAKERS, let_through, selectivity, withstand_i2t_a2s
from electrical.core.results import FaultResult
from electrical.core.rules.protection import SLOW_S, SURE_TO_OPEN, limits_itself, upstream_of
from electrical.core.rules.registry import CircuitRule, circuit_rule
from electrical.core.sources import Source, SourceKind
from electrical.core.status import NO_SOURCE, Clause, SourceStatus, least_certain
from electrical.core.tables.battery_fault import CLAUSE as BREAKING_CLAUSE
from electrical.core.tables.battery_fault import (
    LARGE_BANK_BREAKING_A,
    LARGE_BANK_CLAUSE,
    LARGE_BANK_THRESHOLD_A,
    large_bank_breaking_a,
    required_breaking,
)
from electrical.core.tables.breaking_capacity import typical_breaking
from electrical.core.tables.constants import ADIABATIC_CLAUSE
from electrical.core.tables.fuse_ratings import RATINGS_A
from electrical.core.tables.time_current import CLAUSE_BLADE, curve_of

#: What asks for a breaking capacity, the fault current apart.
BY_STARTING_CURRENT, LARGE_BANK, UNKNOWN_BANK = "starting current", "bank", "unknown bank"
_VOLTAGE = Clause(source="33 CFR 183.455", clause="(d)", status=SourceStatus.READ)


class _Capacity(NamedTuple):
    """Breaking capacity of a device at the system voltage, and how it is known."""

    amperes: float
    words: str
    status: SourceStatus


def _capacity(circuit: Circuit, protection: Protection) -> _Capacity | None:
    if protection.breaking_capacity_a is not None:
        return _Capacity(
            amperes=protection.breaking_capacity_a,
            words="marked",
            status=SourceStatus.SECOND_HAND,
        )
    typical = typical_breaking(protection.device, system_v=circuit.nominal_v)
    if typical is None:
        return None
    return _Capacity(
        amperes=typical.breaking_a,
        words=f"typical of a {protection.device.value}",
        status=typical.clause.status,
    )


@circuit_rule(
    id="device-voltage",
    title="Voltage rating of the device",
    iso=_VOLTAGE,
    us=_VOLTAGE,
    is_per_device=True,
)
def _device_voltage(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """The device is rated for at least the voltage of its circuit."""
    protection, nominal_v = facts.circuit.protection, facts.circuit.nominal_v
    if protection is None:
        return
    subject = facts.subject
    if protection.rated_v is None:
        yield rule.cannot_tell(facts, subject, (f"voltage rating of the {facts.device_name}",))
        return
    low = protection.rated_v < nominal_v
    yield rule.about(
        facts,
        subject,
        Severity.STOP if low else Severity.PASS,
        f"The {facts.device_name} of {subject.label} is rated {protection.rated_v:g} V in a "
        f"{nominal_v:g} V circuit.",
        value=protection.rated_v,
        limit=nominal_v,
        unit="V",
    )


@circuit_rule(
    id="breaking",
    title="Breaking capacity against the fault current",
    iso=BREAKING_CLAUSE,
    us=BREAKING_CLAUSE,
    is_per_device=True,
)
def _breaking(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """The device can break the largest fault current where it sits."""
    circuit, protection = facts.circuit, facts.circuit.protection
    if protection is None:
        return
    subject, capacity = facts.subject, _capacity(circuit, protection)
    needed = _needed(facts)
    missing = () if capacity else (f"breaking capacity of the {facts.device_name}",)
    if needed is None or capacity is None:
        yield rule.cannot_tell(facts, subject, (*facts.fault_missing, *missing))
        return
    weak = capacity.amperes < needed.amperes
    if weak and needed.basis == UNKNOWN_BANK and facts.fault is not None:
        needed = _of_the_short(facts.fault)  # sure, whatever the bank
        if capacity.amperes >= needed.amperes:
            yield rule.cannot_tell(facts, subject, ("capacity of the bank",))
            return
    needed_a, words = needed.amperes, needed.words
    backing = _backed_up_by(facts, needed_a) if weak else ""
    severity = Severity.PASS
    if weak:
        severity = Severity.ATTENTION if backing else Severity.STOP
    clause = BREAKING_CLAUSE.at(least_certain(needed.status, capacity.status))
    backed_words = f"; {backing} if the makers confirm the pair" if backing else ""
    yield rule.about(
        facts,
        subject,
        severity,
        f"The {facts.device_name} of {subject.label} breaks {capacity.amperes:.0f} A ({capacity.words}); "
        f"{needed_a:.0f} A {words}{backed_words}.",
        value=capacity.amperes,
        limit=needed_a,
        unit="A",
        clause=clause,
        basis=needed.basis,
        remedies=_stronger(facts, needed_a) if weak else (),
    )


def _backed_up_by(facts: CircuitFacts, needed_a: float) -> str:
    """The fuse ahead that can break the fault, in words; empty when there is none.

    A device of lower breaking capacity is allowed behind one that can break the fault
    and lets no more energy through than both stand (IEC 60364-4-43, 434.5.1, from
    memory); only the makers can say whether a pair does.
    """
    feeders = upstream_of(facts)
    for feeder in feeders:
        far = feeder.protection
        capacity = _capacity(feeder, far) if far else None
        if far is None or far.device in BREAKERS or capacity is None:
            return ""
        if capacity.amperes < needed_a:
            return ""
    if not feeders:
        return ""
    verb = "breaks" if len(feeders) == 1 else "break"
    return f"the {' and the '.join(_fuse_words(f) for f in feeders)} ahead {verb} it"


def _fuse_words(feeder: Circuit) -> str:
    device = feeder.protection.device if feeder.protection else DeviceType.OTHER
    return f"{'device' if device is DeviceType.OTHER else device.value} of {feeder.label}"


class _Needed(NamedTuple):
    """What a device must break, and what asks for it."""

    amperes: float
    words: str
    status: SourceStatus
    basis: str = ""


def _needed(facts: CircuitFacts) -> _Needed | None:
    """The largest of the fault current and what the tables ask for by size of bank."""
    fault, nominal_v = facts.fault, facts.circuit.nominal_v
    cca_a = facts.tree.cranking_a.get(nominal_v)
    start = facts.design.points[facts.circuit.from_id]
    main = isinstance(start, Source) and start.kind is SourceKind.BATTERY
    if cca_a is not None:
        required = required_breaking(cca_a=cca_a)
        table_a = required.main_a if main else required.branch_a
        if fault is None or table_a > fault.at_start_a:
            words = f"is asked for with {cca_a:.0f} A of starting current"
            return _Needed(table_a, words, required.clause.status, BY_STARTING_CURRENT)
    if fault is None:
        return None
    if main:
        capacity_ah = facts.tree.capacity_ah.get(nominal_v)
        large_a = large_bank_breaking_a(
            cca_a=cca_a, capacity_ah=capacity_ah, short_circuit_a=fault.at_start_a
        )
        if large_a is not None and large_a > fault.at_start_a:
            words = "is asked for beside so large a bank"
            return _Needed(large_a, words, LARGE_BANK_CLAUSE.status, LARGE_BANK)
        unknown_a = LARGE_BANK_BREAKING_A if fault.at_start_a > LARGE_BANK_THRESHOLD_A else 0.0
        if large_a is None and capacity_ah is None and unknown_a > fault.at_start_a:
            words = "is asked for beside a large bank"
            return _Needed(unknown_a, words, LARGE_BANK_CLAUSE.status, UNKNOWN_BANK)
    return _of_the_short(fault)


def _of_the_short(fault: FaultResult) -> _Needed:
    return _Needed(fault.at_start_a, "can flow there", fault.status)


def _stronger(facts: CircuitFacts, needed_a: float) -> tuple[Remedy, ...]:
    """Kinds of device that typically break the current, the weakest first: those made so small
    that the conductor may carry them."""
    found = []
    most_a = facts.ampacity_a
    for device in DeviceType:
        typical = typical_breaking(device, system_v=facts.circuit.nominal_v)
        ratings_a = RATINGS_A.get(device, ())
        is_small_enough = not ratings_a or most_a is None or ratings_a[0] <= most_a
        if typical is not None and typical.breaking_a >= needed_a and is_small_enough:
            found.append((typical.breaking_a, device))
    return tuple(
        Remedy(
            kind=RemedyKind.PART,
            label=f"Use a {device.value}",
            change={"circuit": facts.circuit.id, "device": device.value},
            result=f"typically breaks {breaks_a:.0f} A",
        )
        for breaks_a, device in sorted(found)[:2]
    )


@circuit_rule(
    id="withstand",
    title="Conductor withstands a short circuit",
    iso=ADIABATIC_CLAUSE,
    us=ADIABATIC_CLAUSE,
    is_per_device=True,
)
def _withstand(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """The device opens before the conductor is overheated."""
    circuit, protection, fault = facts.circuit, facts.circuit.protection, facts.fault
    if protection is None or circuit.cable is None or facts.ampacity is None:
        return
    subject, stands = facts.subject, withstand_i2t_a2s(circuit.cable)
    if fault is None:
        if facts.fault_missing:
            yield rule.cannot_tell(facts, subject, facts.fault_missing)
        return
    energy = let_through(protection, fault_a=fault.at_start_a, least_a=fault.at_end_a)
    if energy is None:
        yield rule.cannot_tell(facts, subject, (f"time-current curve of the {facts.device_name}",))
        return
    if energy.i2t_a2s is None:
        return  # judged by "clears"
    over = energy.i2t_a2s > stands
    ahead = facts.tree.unlaid_ahead_of(circuit)
    if not over and ahead:  # a short at its far end may be smaller, and last longer
        yield rule.cannot_tell(facts, subject, ahead)
        return
    if over and protection.device in BREAKERS and curve_of(protection) is None:
        yield rule.cannot_tell(facts, subject, ("time-current curve of the breaker",))
        return
    yield rule.about(
        facts,
        subject,
        Severity.STOP if over else Severity.PASS,
        f"The {facts.device_name} of {subject.label} lets {energy.i2t_a2s:.3g} A²s through "
        f"({energy.assumption}); the conductor stands {stands:.3g} A²s.",
        value=energy.i2t_a2s,
        limit=stands,
        unit="A²s",
        clause=ADIABATIC_CLAUSE.at(
            least_certain(energy.status, fault.status, ADIABATIC_CLAUSE.status)
        ),
    )


@circuit_rule(
    id="clears",
    title="Device opens on a short at the far end",
    iso=NO_SOURCE,
    us=NO_SOURCE,
    is_per_device=True,
)
def _clears(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """A short at the far end of a long thin run still opens the device soon."""
    protection, fault = facts.circuit.protection, facts.fault
    if protection is None:
        return
    if fault is None or fault.at_end_a is None:
        if fault is None and facts.fault_missing:
            yield rule.cannot_tell(facts, facts.subject, facts.fault_missing)
        return  # without a cable: told by "complete"
    subject, at_end_a, rating_a = facts.subject, fault.at_end_a, protection.rating_a
    if limits_itself(facts):
        yield rule.about(
            facts,
            subject,
            Severity.PASS,
            f"{subject.label} starts at a source that limits itself below what the run may carry.",
        )
        return
    band = operating_time(curve_of(protection), rating_a=rating_a, current_a=at_end_a)
    never = at_end_a < SURE_TO_OPEN * rating_a
    t_max_s = band.t_max_s if band else None
    slow = band is not None and (t_max_s is None or t_max_s > SLOW_S)
    severity = Severity.STOP if never else Severity.ATTENTION if slow else Severity.PASS
    ahead = facts.tree.unlaid_ahead_of(facts.circuit)
    if ahead and severity is Severity.PASS:
        yield rule.cannot_tell(facts, subject, ahead)
        return
    other = "start" if facts.is_far_end else "far end"
    ending = (
        "it need not open"
        if never
        else f"it opens within {t_max_s:.2g} s"
        if t_max_s
        else f"{at_end_a / rating_a:.0f} times its rating"
    )
    yield rule.about(
        facts,
        subject,
        severity,
        f"A short at the {other} of {subject.label} draws {at_end_a:.0f} A through its "
        f"{rating_a:g} A {facts.device_name}; {ending}.",
        value=at_end_a,
        limit=SURE_TO_OPEN * rating_a,
        unit="A",
        clause=band.clause if band else None,
    )


@circuit_rule(
    id="selective", title="Only the nearer device opens", iso=CLAUSE_BLADE, us=CLAUSE_BLADE
)
def _selective(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """A fault in one circuit does not take the others down."""
    near, fault = facts.circuit.protection, facts.fault
    if near is None:
        return
    for feeder in upstream_of(facts):
        far = feeder.protection
        if far is None:
            continue
        subject = facts.subject
        if fault is None:
            yield rule.cannot_tell(facts, subject, facts.fault_missing)
            continue
        found = selectivity(near, far, fault_a=fault.at_start_a)
        if found is None:
            yield rule.cannot_tell(
                facts, subject, (f"time-current curves of its device and of {feeder.label}'s",)
            )
            continue
        verdict = "before" if found.is_selective else "no sooner than"
        yield rule.about(
            facts,
            subject,
            Severity.PASS if found.is_selective else Severity.ATTENTION,
            f"At {found.at_a:.0f} A the {near.rating_a:g} A device of {subject.label} opens "
            f"{verdict} the {far.rating_a:g} A device of {feeder.label}.",
            value=found.near_t_max_s,
            limit=found.far_t_min_s,
            unit="s",
            clause=found.clause,
            basis=feeder.id,
        )


RULES = (_device_voltage, _breaking, _withstand, _clears, _selective)
