"""Rules on protective devices: is there one, does its rating fit, will it open."""

from collections.abc import Iterator

from electrical.core.curves import operating_time
from electrical.core.design import Circuit, CircuitRole
from electrical.core.facts import CircuitFacts
from electrical.core.findings import Finding, Remedy, RuleSet, Severity
from electrical.core.parts import Protection
from electrical.core.rules.registry import CircuitRule, circuit_rule
from electrical.core.sizing import cable_for_current, rating_remedy
from electrical.core.sources import Converter, Source, SourceKind
from electrical.core.status import NO_SOURCE, Clause, SourceStatus
from electrical.core.tables.placement import CHARGING_CLAUSE
from electrical.core.tables.time_current import curve_of

US_GENERAL = Clause(source="33 CFR 183.455", clause="(a), (b), (e)", status=SourceStatus.READ)
US_RATING = Clause(source="33 CFR 183.455", clause="(c)", status=SourceStatus.READ)
ISO_GENERAL = Clause(
    source="ISO 10133:2012", clause="8, overcurrent protection", status=SourceStatus.MEMORY
)
#: Most a device below 50 V may exceed the ampacity, in the US regulation.
US_OVER_AMPACITY = 1.5
CONTINUOUS_SHARE = 0.8
#: The comparison of what runs for hours.
FOR_HOURS = "hours"
#: The comparison of a start with the time-current curve.
BY_CURVE = "curve"
#: A fuse-link need not open below this multiple of its rating.
SURE_TO_OPEN = 1.35
SLOW_S = 5.0
#: A peak of this time is no start any more: a device is held to its rating [s].
#: Common practice, no source.
LONG_S = 30.0


def upstream_of(facts: CircuitFacts) -> tuple[Circuit, ...]:
    """Return the circuits that feed the point where this one starts.

    Parameters
    ----------
    facts : CircuitFacts
        The circuit.

    Returns
    -------
    tuple of Circuit
        Its feeders, charging runs apart; none behind a converter, whose output its
        input's device does not see.
    """
    if isinstance(facts.design.points[facts.circuit.from_id], Converter):
        return ()
    return facts.tree.feeders_of(facts.circuit.from_id)


def _protected_upstream(facts: CircuitFacts) -> float | None:
    """Largest rating of the devices ahead when they protect this run too [A]."""
    feeders = upstream_of(facts)
    ratings = [f.protection.rating_a for f in feeders if f.protection is not None]
    if not feeders or len(ratings) < len(feeders) or facts.ampacity_a is None:
        return None
    total_a = sum(ratings)
    return total_a if total_a <= facts.ampacity_a else None


def limits_itself(facts: CircuitFacts) -> bool:
    """Return whether a run starts at a source that can not overload it.

    Parameters
    ----------
    facts : CircuitFacts
        The run.

    Returns
    -------
    bool
        True for a converter, or a charging source told to limit itself, whose largest
        output the run may carry.
    """
    start = facts.design.points[facts.circuit.from_id]
    if isinstance(start, Source) and not start.limits_itself:
        return False
    return _carries_all_of(facts)


def _carries_all_of(facts: CircuitFacts) -> bool:
    """Whether the run may carry the largest output of what it starts at."""
    start = facts.design.points[facts.circuit.from_id]
    limit_a = getattr(start, "max_output_a", None)
    return limit_a is not None and facts.ampacity_a is not None and limit_a <= facts.ampacity_a


@circuit_rule(
    id="protected", title="A protective device at the source", iso=ISO_GENERAL, us=US_GENERAL
)
def _protected(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """Every run has a device at its source and at every reduction in size."""
    subject, circuit = facts.subject, facts.circuit
    if circuit.protection is not None:
        yield rule.about(
            facts, subject, Severity.PASS, f"{subject.label} has a device at its start."
        )
        return
    upstream_a = _protected_upstream(facts)
    limited = _starts_where_current_is_limited(facts) and limits_itself(facts)
    if circuit.route is None and (upstream_a is not None or limited):
        yield rule.cannot_tell(facts, subject, facts.missing)
    elif upstream_a is not None:
        yield rule.about(
            facts,
            subject,
            Severity.PASS,
            f"{subject.label} is protected by the {upstream_a:g} A ahead of it.",
            value=upstream_a,
            limit=facts.ampacity_a,
            unit="A",
        )
    elif circuit.role is CircuitRole.STARTING:
        yield rule.about(
            facts,
            subject,
            Severity.NOTE,
            f"{subject.label} has no device; cranking conductors are excepted.",
        )
    elif limited:
        yield rule.about(
            facts,
            subject,
            Severity.PASS,
            f"{subject.label} starts at a source that limits itself below what the run may carry.",
            clause=CHARGING_CLAUSE,
        )
    elif _hangs_on_its_limiting(facts):
        label = facts.design.points[circuit.from_id].label
        missing = f"word of its maker whether {label} limits its own output"
        yield rule.cannot_tell(facts, subject, (missing,), clause=CHARGING_CLAUSE)
    else:
        yield rule.about(
            facts,
            subject,
            Severity.STOP,
            f"{subject.label} has no protective device{_why_not_excepted(facts)}.",
            remedies=_first_rating(facts),
        )


def _starts_where_current_is_limited(facts: CircuitFacts) -> bool:
    start = facts.design.points[facts.circuit.from_id]
    return facts.circuit.role is CircuitRole.CHARGING or isinstance(start, Converter)


def _hangs_on_its_limiting(facts: CircuitFacts) -> bool:
    start = facts.design.points[facts.circuit.from_id]
    if not isinstance(start, Source) or start.kind is SourceKind.BATTERY:
        return False
    if start.limits_itself is not None:
        return False
    return facts.circuit.role is CircuitRole.CHARGING and _carries_all_of(facts)


def _why_not_excepted(facts: CircuitFacts) -> str:
    start = facts.design.points[facts.circuit.from_id]
    if isinstance(start, Source) and start.limits_itself is False:
        return f", and {start.label} does not limit its own output"
    return ""


def _first_rating(facts: CircuitFacts) -> tuple[Remedy, ...]:
    if facts.ampacity_a is None:
        return ()
    need_a = _least_rating_a(facts)
    return rating_remedy(facts, at_least_a=need_a, at_most_a=facts.ampacity_a)


def _least_rating_a(facts: CircuitFacts) -> float:
    """Smallest rating for the load: whole load, or continuous load at 80 % [A]."""
    currents = facts.currents
    return max(currents.design_a, currents.continuous_a / CONTINUOUS_SHARE)


@circuit_rule(
    id="rating",
    title="Device rating against the conductor",
    iso=ISO_GENERAL,
    us=US_RATING,
    is_per_device=True,
)
def _rating_fits_conductor(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """Up to the ampacity passes, up to 150 % needs attention, above stops."""
    protection, ampacity_a = facts.circuit.protection, facts.ampacity_a
    if protection is None or ampacity_a is None:
        return
    subject, share = facts.subject, _share(protection.rating_a, ampacity_a)
    severity, words = Severity.PASS, "within"
    if share <= 1.0 and facts.circuit.route is None:
        return  # what it may carry hangs on its way: told by "complete"
    if share > US_OVER_AMPACITY:
        severity, words = Severity.STOP, "more than one and a half times"
    elif share > 1.0:
        severity, words = Severity.ATTENTION, "above"
    message = (
        f"{subject.label} has a {protection.rating_a:g} A {facts.device_name}, {words} the "
        f"{ampacity_a:.1f} A its conductor may carry here."
    )
    if severity is Severity.ATTENTION:
        message = f"{message[:-1]}; {_allowance(facts)}."
    remedies: tuple[Remedy, ...] = ()
    if severity is not Severity.PASS:
        remedies = (
            *rating_remedy(facts, at_least_a=_least_rating_a(facts), at_most_a=ampacity_a),
            *cable_for_current(facts, protection.rating_a),
        )
    yield rule.about(
        facts,
        subject,
        severity,
        message,
        value=protection.rating_a,
        limit=ampacity_a,
        unit="A",
        remedies=remedies,
    )


def _share(rating_a: float, ampacity_a: float) -> float:
    return rating_a / ampacity_a if ampacity_a > 0.0 else float("inf")


def _allowance(facts: CircuitFacts) -> str:
    if facts.design.rule_set is RuleSet.US:
        return "33 CFR 183.455(c) allows up to 150 % below 50 V"
    return (
        "ISO allows no more than the ampacity (from memory), "
        "33 CFR 183.455(c) up to 150 % below 50 V"
    )


@circuit_rule(
    id="load-on-device",
    title="Device rating against the load",
    iso=NO_SOURCE,
    us=NO_SOURCE,
    is_per_device=True,
)
def _rating_fits_load(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """The load fits the device, and a load of hours stays within 80 % of it."""
    protection, currents = facts.circuit.protection, facts.currents
    if protection is None or currents.design_a == 0.0:
        return
    subject, rating_a = facts.subject, protection.rating_a
    if currents.design_a > rating_a:
        yield rule.about(
            facts,
            subject,
            Severity.STOP,
            f"{subject.label} carries {currents.design_a:.1f} A through a "
            f"{rating_a:g} A {facts.device_name}.",
            value=currents.design_a,
            limit=rating_a,
            unit="A",
            remedies=_enough_for_load(facts),
            state_id=currents.worst_state_id,
        )
    elif currents.continuous_a > CONTINUOUS_SHARE * rating_a:
        yield rule.about(
            facts,
            subject,
            Severity.ATTENTION,
            f"{subject.label} carries {currents.continuous_a:.1f} A for hours, more than 80 % of "
            f"its {rating_a:g} A {facts.device_name}.",
            value=currents.continuous_a,
            limit=CONTINUOUS_SHARE * rating_a,
            unit="A",
            remedies=_enough_for_load(facts),
            basis=FOR_HOURS,
        )
    elif not facts.unknown:
        yield rule.about(
            facts,
            subject,
            Severity.PASS,
            f"{subject.label} carries {currents.design_a:.1f} A through a "
            f"{rating_a:g} A {facts.device_name}.",
            value=currents.design_a,
            limit=rating_a,
            unit="A",
        )


def _enough_for_load(facts: CircuitFacts) -> tuple[Remedy, ...]:
    """A rating that carries the load, else a cable that allows one."""
    need_a = _least_rating_a(facts)
    return rating_remedy(
        facts, at_least_a=need_a, at_most_a=facts.ampacity_a or 0.0
    ) or cable_for_current(facts, need_a)


@circuit_rule(
    id="motor-start", title="Device holds while a motor starts", iso=NO_SOURCE, us=NO_SOURCE
)
def _motor_start(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """The device does not open during a start."""
    protection, currents = facts.circuit.protection, facts.currents
    subject = facts.subject
    unknown = tuple(
        f"starting current of {load.label}"
        for load in facts.circuit.loads
        if load.is_motor and load.start_current_a is None
    )
    if protection is None:
        return
    if unknown:
        yield rule.cannot_tell(facts, subject, unknown)
        return
    if currents.start_a is None:
        return
    found = _start_finding(rule, facts, protection, currents.start_a)
    if found.severity is not Severity.PASS or not facts.unknown:
        yield found


def _start_finding(
    rule: CircuitRule, facts: CircuitFacts, protection: Protection, start_a: float
) -> Finding:
    subject, rating_a = facts.subject, protection.rating_a
    loads = [load for load in facts.circuit.loads if load.start_current_a is not None]
    what = "at its peak" if loads and not any(load.is_motor for load in loads) else "at a start"
    words = f"{subject.label} draws {start_a:.0f} A for {facts.currents.start_s:g} s {what}"
    if start_a <= rating_a:
        words += f", within its {rating_a:g} A device."
        return rule.about(
            facts, subject, Severity.PASS, words, value=start_a, limit=rating_a, unit="A"
        )
    band = operating_time(curve_of(protection), rating_a=rating_a, current_a=start_a)
    larger = rating_remedy(facts, at_least_a=rating_a * 1.01, at_most_a=facts.ampacity_a or 0.0)
    if band is None and facts.currents.start_s >= LONG_S:
        words += f", more than its {rating_a:g} A device is made to carry for so long."
        return rule.about(
            facts,
            subject,
            Severity.ATTENTION,
            words,
            value=start_a,
            limit=rating_a,
            unit="A",
            remedies=larger,
        )
    if band is None:
        return rule.cannot_tell(facts, subject, ("time-current curve of the device",))
    opens = band.t_min_s < facts.currents.start_s
    severity = Severity.ATTENTION if opens else Severity.PASS
    verdict = "may open" if opens else "does not open"
    return rule.about(
        facts,
        subject,
        severity,
        f"{words}; its {rating_a:g} A device {verdict} before {band.t_min_s:.2g} s.",
        value=facts.currents.start_s,
        limit=band.t_min_s,
        unit="s",
        clause=band.clause,
        basis=BY_CURVE,
        remedies=larger if opens else (),
    )


@circuit_rule(
    id="locked-rotor", title="Device opens on a locked rotor", iso=NO_SOURCE, us=NO_SOURCE
)
def _locked_rotor(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """A motor that is stuck is switched off before it burns."""
    protection = facts.circuit.protection
    if protection is None:
        return
    for load in facts.circuit.loads:
        if not load.is_motor or load.start_current_a is None:
            continue
        least_a = SURE_TO_OPEN * protection.rating_a
        stuck = load.start_current_a < least_a
        verdict = "need not open" if stuck else "opens"
        yield rule.about(
            facts,
            facts.subject,
            Severity.ATTENTION if stuck else Severity.PASS,
            f"{load.label} draws {load.start_current_a:.0f} A with its rotor locked; the "
            f"{protection.rating_a:g} A device {verdict} at that current.",
            value=load.start_current_a,
            limit=least_a,
            unit="A",
            remedies=rating_remedy(
                facts,
                at_least_a=_least_rating_a(facts),
                at_most_a=min(load.start_current_a / SURE_TO_OPEN, facts.ampacity_a or 0.0),
            )
            if stuck
            else (),
        )


RULES = (_protected, _rating_fits_conductor, _rating_fits_load, _motor_start, _locked_rotor)
