"""Rule on batteries in parallel: how the solved network divides the load between them."""

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
    batteries = {battery.id for battery in facts.tree.batteries()}
    for board in facts.design.boards:
        leads = [c for c in facts.tree.feeders_of(board.id) if c.from_id in batteries]
        if len({lead.from_id for lead in leads}) > 1:
            yield from _sharing_findings(rule, facts, board, leads)


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


RULES = (_battery_sharing,)
