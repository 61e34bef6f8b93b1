"""Rules on boards and their busbars."""

from collections.abc import Iterator

from electrical.core.demand import Demand
from electrical.core.design import CircuitRole
from electrical.core.findings import Finding, Severity, Subject, SubjectKind
from electrical.core.rules.registry import DesignFacts, DesignRule, design_rule, point_subject
from electrical.core.status import NO_SOURCE, Clause, SourceStatus

_MAKER = Clause(source="maker's data of the board", clause="", status=SourceStatus.SECOND_HAND)


def worst_demand(facts: DesignFacts, point_id: str) -> tuple[Demand, str]:
    """Return the largest demand at a point over the operating states, and its state.

    Parameters
    ----------
    facts : DesignFacts
        The design.
    point_id : str
        Source, board or converter.

    Returns
    -------
    tuple of Demand and str
        The demand, and the identifier of the state.
    """
    found = [(facts.tree.point_demand(point_id, s), s.id) for s in facts.design.states]
    return max(found, key=lambda pair: pair[0].current_a)


@design_rule(id="fed", title="Every board is fed", iso=NO_SOURCE, us=NO_SOURCE)
def _fed(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """A board with circuits has a run that feeds it."""
    for board in facts.design.boards:
        if facts.tree.leaving[board.id] and not facts.tree.feeders_of(board.id):
            yield rule.cannot_tell(facts, point_subject(board), ("run that feeds it",))


@design_rule(id="busbar", title="Busbar within its rating", iso=NO_SOURCE, us=NO_SOURCE)
def _busbar(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """What is on together in the worst state does not exceed the busbar."""
    for board in facts.design.boards:
        demand, state_id = worst_demand(facts, board.id)
        if demand.current_a == 0.0:
            continue
        subject = point_subject(board)
        if board.busbar_a is None:
            yield rule.cannot_tell(facts, subject, ("busbar rating",))
            continue
        over = demand.current_a > board.busbar_a
        if demand.unknown and not over:
            yield rule.cannot_tell(facts, subject, demand.unknown)
            continue
        yield rule.about(
            facts,
            subject,
            Severity.STOP if over else Severity.PASS,
            f"{board.label} carries {demand.current_a:.1f} A on a busbar of {board.busbar_a:g} A.",
            value=demand.current_a,
            limit=board.busbar_a,
            unit="A",
            state_id=state_id,
        )


@design_rule(
    id="busbar-protected", title="Busbar protected by its feeders", iso=NO_SOURCE, us=NO_SOURCE
)
def _busbar_protected(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """The devices that feed a busbar together do not exceed its rating."""
    for board in facts.design.boards:
        feeders = facts.tree.feeders_of(board.id)
        ratings = [f.protection.rating_a for f in feeders if f.protection]
        if board.busbar_a is None or not feeders or len(ratings) < len(feeders):
            continue
        over = sum(ratings) > board.busbar_a
        yield rule.about(
            facts,
            point_subject(board),
            Severity.ATTENTION if over else Severity.PASS,
            f"{board.label} has a busbar of {board.busbar_a:g} A behind {sum(ratings):g} A of "
            "protection.",
            value=sum(ratings),
            limit=board.busbar_a,
            unit="A",
        )


@design_rule(id="way", title="Way of a board within its rating", iso=_MAKER, us=_MAKER)
def _way(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """What a circuit carries, and its device, stay within what one way of the board may carry."""
    for board in facts.design.boards:
        if board.way_max_a is None:
            continue
        within = 0
        for circuit in facts.tree.leaving[board.id]:
            current_a = facts.circuits[circuit.id].currents.design_a
            rating_a = circuit.protection.rating_a if circuit.protection else 0.0
            if circuit.role is CircuitRole.STARTING or max(current_a, rating_a) <= board.way_max_a:
                within += 1
                continue
            carries = current_a > board.way_max_a
            words = f"carries {current_a:.1f} A" if carries else f"has a {rating_a:g} A device"
            yield rule.about(
                facts,
                Subject(kind=SubjectKind.CIRCUIT, id=circuit.id, label=circuit.label),
                Severity.STOP if carries else Severity.ATTENTION,
                f"{circuit.label} {words} on a way of {board.label} that may carry "
                f"{board.way_max_a:g} A.",
                value=current_a if carries else rating_a,
                limit=board.way_max_a,
                unit="A",
            )
        if within:
            words = (
                f"{within} circuits of {board.label} keep to the {board.way_max_a:g} A of a way."
            )
            yield rule.about(facts, point_subject(board), Severity.PASS, words)


RULES = (_fed, _busbar, _busbar_protected, _way)
