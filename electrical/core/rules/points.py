"""Rules on batteries and converters."""

from collections.abc import Iterator

from electrical.core.bundles import BRIEF_ROLES
from electrical.core.design import Circuit, CircuitRole
from electrical.core.findings import (
    Finding,
    Severity,
    Subject,
    SubjectKind,
)
from electrical.core.results import DropResult
from electrical.core.rules.boards import Rated, hold, worst_demand, worst_together
from electrical.core.rules.conductors import unsure_of_voltage
from electrical.core.rules.registry import DesignFacts, DesignRule, design_rule, point_subject
from electrical.core.sources import Converter, Source
from electrical.core.status import NO_SOURCE, Clause, SourceStatus
from electrical.core.tree import Tree

#: A sentence names no more than this; every circuit's own finding names the rest.
MOST_NAMED = 4
#: The two ratings of an isolator.
RUNNING, STARTING = "continuous", "starting"
_BATTERY = Clause(source="33 CFR 183.420", clause="(a)", status=SourceStatus.READ)
_VENT = Clause(source="33 CFR 183.420", clause="(e)", status=SourceStatus.READ)


@design_rule(
    id="operating-point", title="The wiring carries its loads", iso=NO_SOURCE, us=NO_SOURCE
)
def _operating_point(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """In every operating state there is a voltage at which all loads work."""
    subject = Subject(kind=SubjectKind.DESIGN, id="design", label="The system")
    left_out = _left_out(facts)
    if left_out and len(facts.voltages.lost) < len(facts.design.states):
        yield rule.cannot_tell(facts, subject, left_out)
    for state in facts.design.states:
        found = facts.voltages.states[state.id]
        message = f"Everything on in the state {state.label} finds its voltage."
        if not found.solved:
            message = f"In the state {state.label}: {found.message}"
        elif left_out:
            continue
        yield rule.about(
            facts,
            subject,
            Severity.PASS if found.solved else Severity.STOP,
            message,
            state_id=state.id,
        )


def _left_out(facts: DesignFacts) -> tuple[str, ...]:
    """What is missing of the network, in words: runs that are not laid out, unknown currents."""
    names: dict[str, None] = {}
    for found in facts.circuits.values():
        if found.missing:
            names[f"cable and length of {found.circuit.label}"] = None
        names.update(dict.fromkeys(found.unknown))
    first = tuple(sorted(names))[:MOST_NAMED]
    more = len(names) - len(first)
    return (*first, f"{more} more") if more else first


@design_rule(id="battery-held", title="Battery held down", iso=_BATTERY, us=_BATTERY)
def _battery_held(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """A battery does not move more than 25 mm under twice its weight."""
    for battery in facts.tree.batteries():
        subject = point_subject(battery)
        if battery.fastened is None:
            yield rule.about(
                facts,
                subject,
                Severity.NOTE,
                f"{battery.label} must be held down: no more than 25 mm in any direction under "
                "twice its weight; look at it before handover.",
            )
            continue
        yield rule.about(
            facts,
            subject,
            Severity.PASS if battery.fastened else Severity.STOP,
            f"{battery.label} is {'' if battery.fastened else 'not '}held down.",
        )


@design_rule(id="battery-gas", title="Battery gas gets out", iso=_VENT, us=_VENT)
def _battery_gas(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """Hydrogen from a battery is led out of the vessel."""
    for battery in facts.tree.batteries():
        subject = point_subject(battery)
        if battery.chemistry is not None and battery.chemistry.is_lithium:
            yield rule.about(
                facts,
                subject,
                Severity.NOTE,
                f"{battery.label} is lithium: it gives no gas in use; place, cooling and "
                "shut-down follow its maker's instructions.",
                clause=NO_SOURCE,
            )
            continue
        if battery.place is None or battery.place.ventilated is None:
            yield rule.cannot_tell(facts, subject, ("ventilation of its place",))
            continue
        severity = Severity.PASS
        if not battery.place.ventilated:
            severity = Severity.ATTENTION if battery.sealed else Severity.STOP
        words = "with" if battery.place.ventilated else "without"
        yield rule.about(
            facts,
            subject,
            severity,
            f"{battery.label} is in {battery.place.label}, {words} a vent to the outside.",
        )


def behind_isolator(tree: Tree, battery_id: str) -> tuple[list[Circuit], list[Circuit]]:
    """Return the circuits whose current flows through a battery's isolator.

    Parameters
    ----------
    tree : Tree
        The design by points.
    battery_id : str
        The battery.

    Returns
    -------
    tuple of (list of Circuit, list of Circuit)
        Those that run, and those that carry a start, an emergency start through it too.
    """
    behind = [c for c in tree.giving[battery_id] if not c.always_live]
    helping = [c for c in tree.helping.get(battery_id, ()) if not c.always_live]
    running = [circuit for circuit in behind if circuit.role not in BRIEF_ROLES]
    starting = [circuit for circuit in behind if circuit.role in BRIEF_ROLES]
    return running, starting + helping


@design_rule(id="isolator", title="Battery isolator", iso=NO_SOURCE, us=NO_SOURCE)
def _isolator(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """Each battery has an isolator rated for what it carries."""
    for battery in facts.tree.batteries():
        subject = point_subject(battery)
        if battery.isolator is None:
            yield rule.about(
                facts, subject, Severity.ATTENTION, f"{battery.label} has no isolator."
            )
            continue
        label = battery.isolator.label
        running, starting = behind_isolator(facts.tree, battery.id)
        for behind, rating_a, word in (
            (running, battery.isolator.continuous_a, RUNNING),
            (starting, battery.isolator.cranking_a, STARTING),
        ):
            rated = Rated(
                name=f"{word} rating of {label}",
                amperes=rating_a,
                label=label,
                words=f"carries {{asked:.1f}} A; its {word} rating is {{rated:g}} A.",
                basis=word,
            )
            yield from hold(rule, facts, subject, worst_together(facts, behind), rated)


@design_rule(id="management-limit", title="Battery management limit", iso=NO_SOURCE, us=NO_SOURCE)
def _management_limit(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """Load and starts stay below the current at which the battery switches itself off."""
    for battery in facts.tree.batteries():
        if battery.management_limit_a is None:
            continue
        rated = Rated(
            name="limit of its battery management",
            amperes=battery.management_limit_a,
            label=battery.label,
            words="gives {asked:.1f} A and switches itself off at {rated:g} A; that limit is no "
            "fault rating.",
        )
        asked = worst_demand(facts, battery.id)
        yield from hold(rule, facts, point_subject(battery), asked, rated)
        if asked[0].current_a <= battery.management_limit_a:
            yield from _start_within_limit(rule, facts, battery, battery.management_limit_a)


def _start_within_limit(
    rule: DesignRule, facts: DesignFacts, battery: Source, limit_a: float
) -> Iterator[Finding]:
    """Only its maker tells what a battery's management lets through for the time of a start."""
    found = [(facts.tree.point_demand(battery.id, s), s.id) for s in facts.design.states]
    hardest, state_id = max(found, key=lambda pair: pair[0].while_starting_a())
    start_a = hardest.while_starting_a()
    if hardest.start_extra_a <= 0.0 or start_a <= limit_a:
        return
    yield rule.about(
        facts,
        point_subject(battery),
        Severity.ATTENTION,
        f"{battery.label} gives {start_a:.1f} A for {hardest.start_s:g} s while a motor starts; its "
        f"management switches off at {limit_a:g} A unless its maker allows more for so long.",
        value=start_a,
        limit=limit_a,
        unit="A",
        state_id=state_id,
        basis=STARTING,
    )


@design_rule(
    id="converter-output", title="Converter within its output", iso=NO_SOURCE, us=NO_SOURCE
)
def _converter_output(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """What hangs on a converter does not exceed what it gives."""
    for converter in facts.design.converters:
        rated = Rated(
            name="largest output of the converter",
            amperes=converter.max_output_a,
            label=converter.label,
            words="is asked for {asked:.1f} A of its {rated:g} A.",
        )
        asked = worst_demand(facts, converter.id)
        yield from hold(rule, facts, point_subject(converter), asked, rated)


@design_rule(
    id="converter-input", title="Converter keeps its input voltage", iso=NO_SOURCE, us=NO_SOURCE
)
def _converter_input(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """The drop to a converter does not make it switch off."""
    for converter in facts.design.converters:
        for circuit in facts.tree.arriving[converter.id]:
            drop = facts.circuits[circuit.id].drop
            if drop is None or circuit.role is CircuitRole.CHARGING:
                continue
            yield _input_finding(rule, facts, converter, circuit, drop)


def _input_finding(
    rule: DesignRule, facts: DesignFacts, converter: Converter, circuit: Circuit, drop: DropResult
) -> Finding:
    subject, cutoff_v, input_v = point_subject(converter), converter.input_cutoff_v, drop.device_v
    if cutoff_v is None:
        return rule.cannot_tell(facts, subject, ("input voltage at which it switches off",))
    low = input_v < cutoff_v
    if not low and (missing := unsure_of_voltage(facts.circuits[circuit.id])):
        return rule.cannot_tell(facts, subject, missing)
    return rule.about(
        facts,
        subject,
        Severity.STOP if low else Severity.PASS,
        f"{converter.label} gets {input_v:.2f} V and switches off below {cutoff_v:g} V.",
        value=input_v,
        limit=cutoff_v,
        unit="V",
        state_id=drop.state_id,
        basis=circuit.id,
    )


RULES = (
    _operating_point,
    _battery_held,
    _battery_gas,
    _isolator,
    _management_limit,
    _converter_output,
    _converter_input,
)
