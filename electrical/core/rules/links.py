"""Rules on switches and relays that join two batteries in an emergency."""

from collections.abc import Iterator

from electrical.core.conductors import least_loop_r_ohm
from electrical.core.design import Circuit, CircuitRole, OperatingState, ParallelLink
from electrical.core.faults import emf_v, source_fault
from electrical.core.findings import Finding, Remedy, RemedyKind, Severity
from electrical.core.netlist import EMPTY_SHARE, LEAST_R_OHM
from electrical.core.parts import Load
from electrical.core.rules.registry import DesignFacts, DesignRule, design_rule, point_subject
from electrical.core.sources import Source, SourceKind
from electrical.core.status import NO_SOURCE
from electrical.core.tree import Tree


@design_rule(
    id="link-chemistry", title="No lithium straight to lead-acid", iso=NO_SOURCE, us=NO_SOURCE
)
def _link_chemistry(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """An emergency link never joins lithium and lead-acid without a limiter."""
    for link in facts.design.links:
        batteries = [s for s in _joined(facts, link) if s.kind is SourceKind.BATTERY]
        subject = point_subject(link)
        kinds = [b.chemistry for b in batteries]
        if None in kinds:
            yield rule.cannot_tell(facts, subject, ("chemistry of both batteries",))
            continue
        mixed = len({k.is_lithium for k in kinds if k is not None}) > 1
        if mixed and link.current_limited is None:
            yield rule.cannot_tell(facts, subject, ("current limiter of the link",))
            continue
        bad = mixed and not link.current_limited
        words = "lithium to lead-acid without a limiter" if bad else "batteries that may be joined"
        yield rule.about(
            facts, subject, Severity.STOP if bad else Severity.PASS, f"{link.label} joins {words}."
        )


@design_rule(id="link-current", title="Equalising current of a link", iso=NO_SOURCE, us=NO_SOURCE)
def _link_current(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """From a full battery to an empty one no more flows than the link and its leads may carry."""
    for link in facts.design.links:
        subject = point_subject(link)
        if link.current_limited:
            message = f"{link.label} has a limiter that keeps the equalising current down."
            yield rule.about(facts, subject, Severity.PASS, message)
            continue
        on_the_way, missing = resistances_of(facts.tree, link), []
        faults = [source_fault(source) for source in _joined(facts, link)]
        r_ohm = [f.r_ohm for f in faults if f is not None and f.r_ohm is not None]
        if link.rating_a is None:
            missing.append("rating of the link")
        if len(r_ohm) < len(faults):
            missing.append("internal resistance of both batteries")
        if on_the_way is None:
            missing.append("resistance of its leads")
        missing += [
            f"ampacity of {lead.label}"
            for lead in facts.tree.arriving[link.id]
            if on_the_way is not None and facts.circuits[lead.id].ampacity_a is None
        ]
        if on_the_way is None or missing:
            yield rule.cannot_tell(facts, subject, tuple(missing))
            continue
        leads_ohm = [ohm for _name, ohm in on_the_way]
        yield _equalising(rule, facts, link, sum(r_ohm) + sum(leads_ohm))


def _equalising(rule: DesignRule, facts: DesignFacts, link: ParallelLink, r_ohm: float) -> Finding:
    """The one loop of two batteries at rest, cold, solved by hand."""
    first, second = _joined(facts, link)
    empty_v = EMPTY_SHARE * min(first.nominal_v, second.nominal_v)
    current_a = (max(emf_v(first), emf_v(second)) - empty_v) / r_ohm
    limit_a, words, lead_id = _least_rating(facts, link)
    over = current_a > limit_a
    return rule.about(
        facts,
        point_subject(link),
        Severity.ATTENTION if over else Severity.PASS,
        f"{link.label} may carry {current_a:.0f} A from a full to an empty battery; {words} "
        f"{limit_a:g} A.",
        value=current_a,
        limit=limit_a,
        unit="A",
        basis=lead_id,
    )


def _least_rating(facts: DesignFacts, link: ParallelLink) -> tuple[float, str, str]:
    """What the switch is rated for, or a lead may carry where that is less [A], and which."""
    limits_a = [(link.rating_a or 0.0, "it is rated", "")]
    for lead in facts.tree.arriving[link.id]:
        ampacity_a = facts.circuits[lead.id].ampacity_a
        if ampacity_a is not None:
            words = f"its lead {lead.label} may carry"
            limits_a.append((round(ampacity_a, 1), words, lead.id))
    return min(limits_a)


def _joined(facts: DesignFacts, link: ParallelLink) -> tuple[Source, Source]:
    by_id = {source.id: source for source in facts.design.sources}
    return by_id[link.first_id], by_id[link.second_id]


def resistances_of(tree: Tree, link: ParallelLink) -> tuple[tuple[str, float], ...] | None:
    """Return what lies between two batteries through a closed link, cold.

    Parameters
    ----------
    tree : Tree
        The design by points.
    link : ParallelLink
        The link.

    Returns
    -------
    tuple of (str, float) or None
        Name and resistance [Ω] of the switch and of both conductors of each lead, at the
        least their size allows; the told resistance where there is no lead from either
        battery. None when a lead is not laid out, or none is there and none is told.
    """
    leads = tree.arriving[link.id]
    if len({lead.from_id for lead in leads}) < 2:
        return None if link.loop_r_ohm is None else (("leads, as told", link.loop_r_ohm),)
    found = [("the switch itself, as it is solved", LEAST_R_OHM)]
    for lead in leads:
        if lead.cable is None or lead.route is None:
            return None
        loop_ohm = least_loop_r_ohm(cable=lead.cable, length_m=lead.route.length_m)
        found.append((f"{lead.label}, there and back", loop_ohm))
    return tuple(found)


def _emergencies(facts: DesignFacts) -> Iterator[OperatingState]:
    """States with closed links that were solved; the others are a finding already."""
    for state in facts.design.states:
        if state.emergency and facts.voltages.states[state.id].solved:
            yield state


@design_rule(id="link-start", title="Starting current through a link", iso=NO_SOURCE, us=NO_SOURCE)
def _link_start(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """What flows through a link while the engine is started stays within its starting rating."""
    for state in _emergencies(facts):
        for link in facts.design.links:
            current_a = facts.voltages.states[state.id].link_a.get(link.id)
            if current_a is None:
                continue
            subject = point_subject(link)
            if link.starting_a is None:
                yield rule.cannot_tell(facts, subject, (f"starting rating of {link.label}",))
                continue
            over = abs(current_a) > link.starting_a
            yield rule.about(
                facts,
                subject,
                Severity.STOP if over else Severity.PASS,
                f"{link.label} carries {abs(current_a):.0f} A while the engine is started through "
                f"it and is rated {link.starting_a:g} A for that.",
                value=abs(current_a),
                limit=link.starting_a,
                unit="A",
                state_id=state.id,
            )


@design_rule(
    id="emergency-start", title="Voltage at an emergency start", iso=NO_SOURCE, us=NO_SOURCE
)
def _emergency_start(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """With its battery empty and the link closed, an engine gets the voltage it starts from."""
    helped = {link.first_id for link in facts.design.links if facts.tree.can_start(link)}
    for state in _emergencies(facts):
        volts = facts.voltages.states[state.id].starting_v
        for circuit in facts.design.circuits:
            if circuit.role is CircuitRole.STARTING and circuit.from_id in helped:
                for load in circuit.loads:
                    if load.id in volts and load.current_in(state.loads_id):
                        yield _voltage(rule, facts, circuit, load, volts[load.id], state)


def _voltage(  # noqa: PLR0917 - one call, in the order of the sentence
    rule: DesignRule,
    facts: DesignFacts,
    circuit: Circuit,
    load: Load,
    volts: float,
    state: OperatingState,
) -> Finding:
    subject = facts.circuits[circuit.id].subject
    words = f"At an emergency start {load.label} gets {volts:.2f} V"
    if load.min_working_v is None:
        message = f"{words}; the voltage from which it starts is not known."
        return rule.about(
            facts, subject, Severity.NOTE, message, value=volts, unit="V", state_id=state.id
        )
    low = volts < load.min_working_v
    thicker = Remedy(kind=RemedyKind.CABLE, label="Thicker leads to the emergency switch")
    return rule.about(
        facts,
        subject,
        Severity.ATTENTION if low else Severity.PASS,
        f"{words} and starts from {load.min_working_v:g} V.",
        value=volts,
        limit=load.min_working_v,
        unit="V",
        state_id=state.id,
        remedies=(thicker,) if low else (),
    )


RULES = (_link_chemistry, _link_current, _link_start, _emergency_start)
