"""Rules on batteries in parallel: a device for each, and how they divide the load."""

from collections.abc import Iterator

from electrical.core.design import Circuit
from electrical.core.findings import Finding, Remedy, RemedyKind, Severity
from electrical.core.rules.registry import DesignFacts, DesignRule, design_rule, point_subject
from electrical.core.sources import Board, Source
from electrical.core.status import NO_SOURCE

#: A battery may carry this much of its fair share; common practice.
UNEVEN = 1.2
#: Below this the sharing does not matter [A].
LEAST_SHARED_A = 5.0


@design_rule(
    id="battery-sharing", title="Batteries in parallel share alike", iso=NO_SOURCE, us=NO_SOURCE
)
def _battery_sharing(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """Batteries on one board carry the load in proportion to their capacity."""
    for board, leads in _in_parallel(facts):
        yield from _sharing_findings(rule, facts, board, leads)


def _in_parallel(facts: DesignFacts) -> Iterator[tuple[Board, list[Circuit]]]:
    """Boards on which several batteries meet, with the lead of each."""
    batteries = {battery.id for battery in facts.tree.batteries()}
    for board in facts.design.boards:
        leads = [c for c in facts.tree.feeders_of(board.id) if c.from_id in batteries]
        if len({lead.from_id for lead in leads}) > 1:
            yield board, leads


def _sharing_findings(
    rule: DesignRule, facts: DesignFacts, board: Board, leads: list[Circuit]
) -> Iterator[Finding]:
    capacity_ah = [_capacity_ah(facts, lead) for lead in leads]
    known_ah = [value for value in capacity_ah if value is not None]
    if len(known_ah) < len(leads):
        yield rule.cannot_tell(facts, point_subject(board), ("capacity of each battery",))
        return
    worst_share, worst_state = _worst_share(facts, leads, known_ah)
    if not worst_state:
        return
    uneven = worst_share > UNEVEN
    equal = Remedy(kind=RemedyKind.CABLE, label="Make the battery leads of equal resistance")
    yield rule.about(
        facts,
        point_subject(board),
        Severity.ATTENTION if uneven else Severity.PASS,
        f"The hardest-worked battery on {board.label} carries {100 * worst_share:.1f} % of its "
        f"fair share; {100 * UNEVEN:.0f} % is the most.",
        value=100 * worst_share,
        limit=100 * UNEVEN,
        unit="%",
        state_id=worst_state,
        remedies=(equal,) if uneven else (),
    )


def _worst_share(
    facts: DesignFacts, leads: list[Circuit], capacity_ah: list[float]
) -> tuple[float, str]:
    """Largest current over its fair share by capacity, and in which state."""
    worst = (0.0, "")
    for state_id, state in facts.voltages.states.items():
        currents = [state.circuit_a.get(lead.id, 0.0) for lead in leads]
        if not state.solved or sum(currents) < LEAST_SHARED_A:
            continue
        for current_a, ah in zip(currents, capacity_ah, strict=True):
            fair_a = sum(currents) * ah / sum(capacity_ah)
            worst = max(worst, (current_a / fair_a, state_id))
    return worst


def _capacity_ah(facts: DesignFacts, lead: Circuit) -> float | None:
    start = facts.design.points[lead.from_id]
    return start.capacity_ah if isinstance(start, Source) else None


@design_rule(id="strings", title="A device for each battery string", iso=NO_SOURCE, us=NO_SOURCE)
def _strings(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """Parallel strings, or batteries, can feed a fault in one of them: each has its own device."""
    for battery in facts.tree.batteries():
        if battery.strings > 1:
            yield _strings_of(rule, facts, battery)
    for board, leads in _in_parallel(facts):
        count = len({lead.from_id for lead in leads})
        for lead in leads:
            yield _lead_finding(rule, facts, board, lead, count)


def _strings_of(rule: DesignRule, facts: DesignFacts, battery: Source) -> Finding:
    subject = point_subject(battery)
    if battery.strings_fused is None:
        return rule.cannot_tell(facts, subject, ("protection of its strings",))
    return rule.about(
        facts,
        subject,
        Severity.PASS if battery.strings_fused else Severity.ATTENTION,
        f"{battery.label} has {battery.strings} strings in parallel, "
        f"{'each with its own device' if battery.strings_fused else 'without a device each'}.",
    )


def _lead_finding(
    rule: DesignRule, facts: DesignFacts, board: Board, lead: Circuit, count: int
) -> Finding:
    """At either end its device parts the battery from the others."""
    battery = facts.design.points[lead.from_id]
    has_own = lead.protection is not None or lead.protection_at_end is not None
    others = "the other" if count == 2 else f"the other {count - 1}"
    verdict = f"its own device in {lead.label}"
    if not has_own:
        verdict = f"no device of its own in {lead.label}: {others} can feed a fault in it"
    add = Remedy(kind=RemedyKind.PROTECTION, label=f"Add a device in {lead.label}")
    return rule.about(
        facts,
        point_subject(battery),
        Severity.PASS if has_own else Severity.ATTENTION,
        f"{battery.label} is one of {count} batteries in parallel on {board.label} and has "
        f"{verdict}.",
        remedies=() if has_own else (add,),
    )


RULES = (_strings, _battery_sharing)
