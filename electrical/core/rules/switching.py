"""Rules on switches and on circuits ahead of the isolator."""

from collections.abc import Iterator

from electrical.core.design import CircuitRole
from electrical.core.facts import CircuitFacts
from electrical.core.findings import Finding, Severity
from electrical.core.parts import Switch
from electrical.core.rules.registry import CircuitRule, circuit_rule
from electrical.core.status import NO_SOURCE, Clause, SourceStatus

_ALWAYS_LIVE = Clause(
    source="ISO 10133:2012", clause="7, battery-disconnect switch", status=SourceStatus.MEMORY
)


#: The comparison of a start with the rating for short times.
SHORT_TIME = "short time"


@circuit_rule(id="switch", title="Switch rated for its current", iso=NO_SOURCE, us=NO_SOURCE)
def _switch_rating(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """A switch carries the load, and where it starts an engine, that too."""
    switch, currents = facts.circuit.switch, facts.currents
    if switch is None:
        return
    subject = facts.subject
    starting = facts.circuit.role is CircuitRole.STARTING
    rating_a = switch.cranking_a if starting else switch.continuous_a
    name = "starting rating" if starting else "continuous rating"
    if rating_a is None:
        yield rule.cannot_tell(facts, subject, (f"{name} of {switch.label}",))
        return
    over = currents.design_a > rating_a
    if over or not facts.unknown:
        yield rule.about(
            facts,
            subject,
            Severity.STOP if over else Severity.PASS,
            f"{switch.label} in {subject.label} carries {currents.design_a:.1f} A and is rated "
            f"{rating_a:g} A.",
            value=currents.design_a,
            limit=rating_a,
            unit="A",
            state_id=currents.worst_state_id,
        )
    if not starting:
        yield from _short_time(rule, facts, switch)


def _short_time(rule: CircuitRule, facts: CircuitFacts, switch: Switch) -> Iterator[Finding]:
    start_a, short_a = facts.currents.start_a, switch.intermittent_a
    if start_a is None or short_a is None:
        return
    over = start_a > short_a
    if over or not facts.unknown:
        yield rule.about(
            facts,
            facts.subject,
            Severity.ATTENTION if over else Severity.PASS,
            f"{switch.label} in {facts.subject.label} sees {start_a:.0f} A at a start and is "
            f"rated {short_a:g} A for short times.",
            value=start_a,
            limit=short_a,
            unit="A",
            basis=SHORT_TIME,
        )


@circuit_rule(
    id="always-live", title="Circuits ahead of the isolator", iso=_ALWAYS_LIVE, us=_ALWAYS_LIVE
)
def _always_live(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """A circuit that can not be isolated is protected, and people are told of it."""
    circuit = facts.circuit
    if not circuit.always_live:
        return
    subject = facts.subject
    if circuit.protection is None and circuit.protection_at_end is None:
        severity, words = Severity.STOP, "has no protective device"
    elif circuit.role is CircuitRole.FEEDER:
        severity, words = Severity.ATTENTION, "feeds a board that can then not be isolated"
    else:
        severity, words = Severity.NOTE, "stays live when the isolator is off: label it"
    yield rule.about(
        facts, subject, severity, f"{subject.label} is ahead of the isolator and {words}."
    )


RULES = (_switch_rating, _always_live)
