"""Rules on where protective devices sit."""

from collections.abc import Iterator

from electrical.core.design import Circuit, CircuitRole
from electrical.core.facts import CircuitFacts
from electrical.core.findings import Finding, Remedy, RemedyKind, Severity
from electrical.core.rules.protection import ISO_GENERAL, US_GENERAL, US_OVER_AMPACITY
from electrical.core.rules.registry import CircuitRule, circuit_rule
from electrical.core.sizing import cable_for_current
from electrical.core.sources import Board, Source, SourceKind
from electrical.core.tables.placement import ISO_CLAUSE, US_CLAUSE, placement_limit


@circuit_rule(
    id="placement",
    title="Distance of the device from its source",
    iso=ISO_CLAUSE,
    us=US_CLAUSE,
    is_per_device=True,
)
def _near_its_source(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """The unprotected length before the device is short, longer only in a sheath."""
    circuit, protection = facts.circuit, facts.circuit.protection
    if protection is None or circuit.cable is None:
        return
    start = facts.design.points[circuit.from_id]
    if isinstance(start, Board) and protection.distance_m is None:
        return  # the device is on the board itself
    subject = facts.subject
    if protection.distance_m is None:
        yield rule.cannot_tell(
            facts, subject, (f"distance of the {facts.device_name} from its source",)
        )
        return
    battery = isinstance(start, Source) and start.kind is SourceKind.BATTERY
    limit = placement_limit(
        facts.design.rule_set,
        from_battery=battery,
        from_charging_source=isinstance(start, Source) and not battery,
    )
    limit_m = limit.sheathed_m if circuit.cable.sheathed else limit.open_m
    far = protection.distance_m > limit_m + 1e-9
    words = "in a sheath" if circuit.cable.sheathed else "without a sheath"
    yield rule.about(
        facts,
        subject,
        Severity.STOP if far else Severity.PASS,
        f"The {facts.device_name} of {subject.label} is {protection.distance_m:.2f} m from {start.label}, "
        f"{words}; {limit_m:.2f} m is the most.",
        value=protection.distance_m,
        limit=limit_m,
        unit="m",
        clause=limit.clause,
        remedies=(Remedy(kind=RemedyKind.MOVE, label=f"Move the device within {limit_m:.2f} m"),)
        if far
        else (),
    )


def feeds_back(facts: CircuitFacts) -> str:
    """Return the name of a battery that can feed the run from its far end.

    Parameters
    ----------
    facts : CircuitFacts
        The run.

    Returns
    -------
    str
        Its label; empty when there is none.
    """
    if facts.circuit.to_id is None:
        return ""
    end = facts.design.points[facts.circuit.to_id]
    if isinstance(end, Source):
        return end.label if end.kind is SourceKind.BATTERY else ""
    if not isinstance(end, Board):
        return ""
    return _battery_behind(facts, end.id, (facts.circuit.id,))


def _battery_behind(facts: CircuitFacts, point_id: str, path: tuple[str, ...]) -> str:
    """Name of a battery that reaches a board by another way than the circuits in `path`."""
    for circuit in (*facts.tree.arriving[point_id], *facts.tree.leaving[point_id]):
        if circuit.id in path or circuit.to_id is None:
            continue
        other_id = circuit.to_id if circuit.from_id == point_id else circuit.from_id
        other = facts.design.points[other_id]
        if isinstance(other, Source) and other.kind is SourceKind.BATTERY:
            return other.label
        if isinstance(other, Board):
            found = _battery_behind(facts, other_id, (*path, circuit.id))
            if found:
                return found
    return ""


def _devices_beyond(facts: CircuitFacts) -> list[tuple[str, float]]:
    """Devices through which the far end can be fed, by circuit; none when one is missing."""
    end_id = facts.circuit.to_id or ""
    if not isinstance(facts.design.points[end_id], Board):
        return []
    found = []
    for circuit in (*facts.tree.arriving[end_id], *facts.tree.leaving[end_id]):
        if circuit.id == facts.circuit.id or circuit.to_id is None:
            continue
        if not _leads_to_a_battery(facts, circuit, end_id):
            continue
        ratings = [d.rating_a for d in (circuit.protection, circuit.protection_at_end) if d]
        if not ratings:
            return []
        found.append((circuit.label, min(ratings)))
    return found


def _leads_to_a_battery(facts: CircuitFacts, circuit: Circuit, from_id: str) -> bool:
    other_id = circuit.to_id if circuit.from_id == from_id else circuit.from_id
    other = facts.design.points[other_id or ""]
    if isinstance(other, Source):
        return other.kind is SourceKind.BATTERY
    path = (facts.circuit.id, circuit.id)
    return isinstance(other, Board) and bool(_battery_behind(facts, other.id, path))


@circuit_rule(
    id="both-ends",
    title="Device at both ends where two sources feed",
    iso=ISO_GENERAL,
    us=US_GENERAL,
)
def _both_ends(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """A run that can be fed from its far end has a device there too."""
    if facts.circuit.role is CircuitRole.LINK:
        yield from _across_the_link(rule, facts)
    battery = feeds_back(facts)
    if not battery or facts.circuit.role is CircuitRole.STARTING:
        return
    subject = facts.subject
    if facts.circuit.protection_at_end is not None:
        yield rule.about(
            facts, subject, Severity.PASS, f"{subject.label} has a device at its far end too."
        )
        return
    others = _devices_beyond(facts)
    total_a = sum(rating_a for _label, rating_a in others)
    if others and facts.ampacity_a is not None and total_a <= facts.ampacity_a:
        if facts.circuit.route is None:
            yield rule.cannot_tell(facts, subject, facts.missing)
            return
        names = " and ".join(label for label, _rating_a in others)
        yield rule.about(
            facts,
            subject,
            Severity.PASS,
            f"{subject.label} is protected from its far end by the {total_a:g} A of {names}.",
            value=total_a,
            limit=facts.ampacity_a,
            unit="A",
        )
        return
    yield rule.about(
        facts,
        subject,
        Severity.STOP,
        f"{subject.label} can be fed by {battery} from its far end and has no device there.",
        remedies=(Remedy(kind=RemedyKind.PROTECTION, label="Add a device at the far end"),),
    )


def _across_the_link(rule: CircuitRule, facts: CircuitFacts) -> Iterator[Finding]:
    """The device of the other lead protects this one too, where it may carry as much."""
    arriving = facts.tree.arriving[facts.circuit.to_id or ""]
    for other in arriving:
        if other.from_id == facts.circuit.from_id or other.protection is None:
            continue  # without a device it breaks "protected" itself
        if facts.ampacity_a is None:
            continue
        rating_a = other.protection.rating_a
        over, far_over = rating_a > facts.ampacity_a, rating_a > US_OVER_AMPACITY * facts.ampacity_a
        if not over and facts.circuit.route is None:
            continue  # told by "complete"
        subject = facts.subject
        words = "more than one and a half times" if far_over else "above" if over else "within"
        yield rule.about(
            facts,
            subject,
            Severity.STOP if far_over else Severity.ATTENTION if over else Severity.PASS,
            f"{subject.label} is fed from its far end through the {rating_a:g} A device of "
            f"{other.label}, {words} the {facts.ampacity_a:.1f} A it may carry.",
            value=rating_a,
            limit=facts.ampacity_a,
            unit="A",
            remedies=cable_for_current(facts, rating_a) if over else (),
        )


RULES = (_near_its_source, _both_ends)
