"""Rules on batteries in parallel: a device for each, and how they divide the load."""

from collections.abc import Iterator

from electrical.core.design import Circuit
from electrical.core.findings import Finding, Remedy, RemedyKind, Severity
from electrical.core.rules.registry import DesignFacts, DesignRule, design_rule, point_subject
from electrical.core.sources import Board, Source
from electrical.core.status import NO_SOURCE
from electrical.core.tree import Tree

#: A battery may carry this much of its fair share; common practice.
UNEVEN = 1.2
#: Leads are alike up to this ratio of their resistances; common practice.
ALIKE = 1.05
#: Below this the sharing does not matter [A].
LEAST_SHARED_A = 5.0


@design_rule(
    id="battery-sharing", title="Batteries in parallel share alike", iso=NO_SOURCE, us=NO_SOURCE
)
def _battery_sharing(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """Batteries on one board give what is asked of them in proportion to their capacity."""
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
    batteries = sharing_on(facts.tree, board)
    if any(battery.capacity_ah is None for battery in batteries):
        yield rule.cannot_tell(facts, point_subject(board), ("capacity of each battery",))
        return
    worst_share, worst_state = _worst_share(facts, batteries)
    if not worst_state:
        return
    uneven = worst_share > UNEVEN
    yield rule.about(
        facts,
        point_subject(board),
        Severity.ATTENTION if uneven else Severity.PASS,
        f"The hardest-worked battery on {board.label} gives {100 * worst_share:.1f} % of its "
        f"fair share; {100 * UNEVEN:.0f} % is the most.",
        value=100 * worst_share,
        limit=100 * UNEVEN,
        unit="%",
        state_id=worst_state,
        remedies=tuple(_evening_out(facts, board, leads)) if uneven else (),
    )


def sharing_on(tree: Tree, board: Board) -> tuple[Source, ...]:
    """Return the batteries that meet on a board.

    Parameters
    ----------
    tree : Tree
        The design by points.
    board : Board
        The board.

    Returns
    -------
    tuple of Source
        Each once, in the order of their leads.
    """
    by_id = {battery.id: battery for battery in tree.batteries()}
    leads = tree.feeders_of(board.id)
    return tuple(by_id[i] for i in dict.fromkeys(lead.from_id for lead in leads) if i in by_id)


def _worst_share(facts: DesignFacts, batteries: tuple[Source, ...]) -> tuple[float, str]:
    """Largest current over its fair share by capacity, and in which state."""
    worst = (0.0, "")
    all_ah = sum(battery.capacity_ah or 0.0 for battery in batteries)
    for state_id, state in facts.voltages.states.items():
        given_a = [state.source_a.get(battery.id, 0.0) for battery in batteries]
        if not state.solved or sum(given_a) < LEAST_SHARED_A:
            continue
        for battery, current_a in zip(batteries, given_a, strict=True):
            fair_a = sum(given_a) * (battery.capacity_ah or 0.0) / all_ah
            worst = max(worst, (current_a / fair_a, state_id))
    return worst


def _evening_out(facts: DesignFacts, board: Board, leads: list[Circuit]) -> Iterator[Remedy]:
    """Equal leads where they are not; and nothing on one battery alone."""
    found = [facts.circuits[lead.id].resistance for lead in leads]
    ohms = [resistance.loop_r_ohm for resistance in found if resistance is not None]
    if len(ohms) < len(leads) or max(ohms) > ALIKE * min(ohms):
        label = "Make the battery leads of equal resistance"
        yield Remedy(kind=RemedyKind.CABLE, label=label)
    own = {lead.id for lead in leads}
    besides = [c for lead in leads for c in facts.tree.giving[lead.from_id] if c.id not in own]
    if besides:
        label = f"Feed from {board.label} what hangs on one of the batteries alone"
        yield Remedy(kind=RemedyKind.PART, label=label)


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
