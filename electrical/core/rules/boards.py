"""Rules on boards and their busbars."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from electrical.core.demand import Demand, together
from electrical.core.design import Circuit, CircuitRole
from electrical.core.findings import Finding, Severity, Subject, SubjectKind
from electrical.core.rules.registry import DesignFacts, DesignRule, design_rule, point_subject
from electrical.core.status import NO_SOURCE, Clause, SourceStatus

#: The comparison of a circuit's current with what a way may carry.
CARRIES_TOO_MUCH = "current"
#: Sums of floats may differ by this share.
ROUNDING = 1e-9
_MAKER = Clause(source="maker's data of the board", clause="", status=SourceStatus.SECOND_HAND)


def worst_demand(facts: DesignFacts, point_id: str) -> tuple[Demand, str]:
    """Return the largest demand at a point over the operating states, and its state.

    What is not known in any of them stays with it.

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
    return _worst([(facts.tree.point_demand(point_id, s), s.id) for s in facts.design.states])


def worst_together(facts: DesignFacts, circuits: Iterable[Circuit]) -> tuple[Demand, str]:
    """Return the largest demand of some circuits together, and its state.

    Parameters
    ----------
    facts : DesignFacts
        The design.
    circuits : Iterable of Circuit
        What is added up.

    Returns
    -------
    tuple of Demand and str
        As for one point; nothing for no circuits.
    """
    some = tuple(circuits)
    return _worst(
        [(together([facts.tree.demand(c, s) for c in some]), s.id) for s in facts.design.states]
    )


def _worst(found: Sequence[tuple[Demand, str]]) -> tuple[Demand, str]:
    largest, state_id = max(found, key=lambda pair: pair[0].current_a)
    unknown = dict.fromkeys([name for demand, _state_id in found for name in demand.unknown])
    return largest._replace(unknown=tuple(unknown)), state_id


@dataclass(frozen=True, kw_only=True)
class Rated:
    """A rating that what is on together is held against.

    Parameters
    ----------
    name : str
        What it is called where it is not known.
    amperes : float or None
        The rating [A].
    label : str
        What carries it.
    words : str
        The rest of the sentence, with places for ``{asked:.1f}`` and ``{rated:g}``.
    basis : str
        Which comparison of the rule it is, where there are several.
    """

    name: str
    amperes: float | None
    label: str
    words: str
    basis: str = ""


def hold(
    rule: DesignRule,
    facts: DesignFacts,
    subject: Subject,
    asked: tuple[Demand, str],
    rated: Rated,
) -> Iterator[Finding]:
    """Judge what is on together in the worst state against a rating.

    Parameters
    ----------
    rule : DesignRule
        The rule that asks.
    facts : DesignFacts
        The design.
    subject : Subject
        What is rated.
    asked : tuple of Demand and str
        The largest demand and its operating state.
    rated : Rated
        The rating.

    Yields
    ------
    Finding
        None where nothing is asked for. A pass only when every current is known: too
        much stays too much, whatever the unknown ones add.
    """
    demand, state_id = asked
    if demand.current_a == 0.0 and not demand.unknown:
        return
    if rated.amperes is None:
        yield rule.cannot_tell(facts, subject, (rated.name,))
        return
    over = demand.current_a > rated.amperes * (1.0 + ROUNDING)
    if demand.unknown and not over:
        yield rule.cannot_tell(facts, subject, demand.unknown)
        return
    yield rule.about(
        facts,
        subject,
        Severity.STOP if over else Severity.PASS,
        f"{rated.label} {rated.words.format(asked=demand.current_a, rated=rated.amperes)}",
        value=demand.current_a,
        limit=rated.amperes,
        unit="A",
        state_id=state_id,
        basis=rated.basis,
    )


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
        rated = Rated(
            name="busbar rating",
            amperes=board.busbar_a,
            label=board.label,
            words="carries {asked:.1f} A on a busbar of {rated:g} A.",
        )
        asked = worst_demand(facts, board.id)
        yield from hold(rule, facts, point_subject(board), asked, rated)


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
                within += not facts.circuits[circuit.id].unknown
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
                basis=CARRIES_TOO_MUCH if carries else "",
            )
        if within:
            words = (
                f"{within} circuits of {board.label} keep to the {board.way_max_a:g} A of a way."
            )
            yield rule.about(facts, point_subject(board), Severity.PASS, words)


RULES = (_fed, _busbar, _busbar_protected, _way)
