"""What a rule is, and how its findings are made."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Generic, TypeVar

from electrical.core.design import Design, ParallelLink, Point
from electrical.core.facts import CircuitFacts
from electrical.core.findings import Finding, Remedy, RuleSet, Severity, Subject, SubjectKind
from electrical.core.sources import Board, Converter, Source
from electrical.core.status import Clause
from electrical.core.tree import Tree
from electrical.core.voltages import Voltages


@dataclass(frozen=True, kw_only=True)
class DesignFacts:
    """The whole design with everything computed about it.

    Parameters
    ----------
    design : Design
        The design.
    tree : Tree
        The design by points.
    circuits : Mapping[str, CircuitFacts]
        Facts by circuit.
    voltages : Voltages
        Solved operating states.
    """

    design: Design
    tree: Tree
    circuits: Mapping[str, CircuitFacts]
    voltages: Voltages


FactsT = TypeVar("FactsT", CircuitFacts, DesignFacts)


@dataclass(frozen=True, kw_only=True)
class Rule(Generic[FactsT]):
    """One published or customary rule.

    Parameters
    ----------
    id : str
        Stable identifier.
    title : str
        Short name for lists.
    iso, us : Clause
        Where each rule set prints it, with its status.
    judge : callable
        Takes the rule and the facts, yields findings.
    module : str
        Where it is written.
    is_per_device : bool
        Asked again at the far end, where a second device is fitted.
    """

    id: str
    title: str
    iso: Clause
    us: Clause
    judge: "Callable[[Rule[FactsT], FactsT], Iterable[Finding]]"
    module: str
    is_per_device: bool = False

    def clause(self, design: Design) -> Clause:
        """Return the clause of the design's rule set."""
        return self.iso if design.rule_set is RuleSet.ISO else self.us

    def about(
        self,
        facts: FactsT,
        subject: Subject,
        severity: Severity,
        message: str,
        *,
        value: float | None = None,
        limit: float | None = None,
        unit: str = "",
        remedies: tuple[Remedy, ...] = (),
        missing: tuple[str, ...] = (),
        state_id: str = "",
        basis: str = "",
        clause: Clause | None = None,
    ) -> Finding:
        """Return a finding of this rule."""
        if clause is None:
            clause = self.iso if facts.design.rule_set is RuleSet.ISO else self.us
        return tuple.__new__(  # Finding._make in half the time; a check makes thousands
            Finding,
            (
                self.id,
                self.title,
                severity,
                subject,
                message,
                clause,
                value,
                limit,
                unit,
                remedies,
                missing,
                state_id,
                basis,
                False,
            ),
        )

    def cannot_tell(
        self,
        facts: FactsT,
        subject: Subject,
        missing: tuple[str, ...],
        clause: Clause | None = None,
    ) -> Finding:
        """Return a "cannot tell" that names what is missing."""
        return self.about(
            facts,
            subject,
            Severity.CANNOT_TELL,
            f"{subject.label}: cannot tell without the {' and the '.join(missing)}.",
            missing=missing,
            clause=clause,
        )


CircuitRule = Rule[CircuitFacts]
DesignRule = Rule[DesignFacts]


def circuit_rule(
    *,
    id: str,  # noqa: A002 - the name of the field
    title: str,
    iso: Clause,
    us: Clause,
    is_per_device: bool = False,
) -> "Callable[[Callable[[CircuitRule, CircuitFacts], Iterable[Finding]]], CircuitRule]":
    """Turn a judging function into a rule about one circuit.

    Parameters
    ----------
    id, title : str
        Identifier and short name.
    iso, us : Clause
        Where each rule set prints it.
    is_per_device : bool
        Asked again at the far end, where a second device is fitted.

    Returns
    -------
    callable
        The decorator.
    """

    def wrap(judge: Callable[[CircuitRule, CircuitFacts], Iterable[Finding]]) -> CircuitRule:
        return Rule(
            id=id,
            title=title,
            iso=iso,
            us=us,
            judge=judge,
            module=judge.__module__,
            is_per_device=is_per_device,
        )

    return wrap


def design_rule(
    *,
    id: str,  # noqa: A002 - the name of the field
    title: str,
    iso: Clause,
    us: Clause,
) -> "Callable[[Callable[[DesignRule, DesignFacts], Iterable[Finding]]], DesignRule]":
    """Turn a judging function into a rule about the whole design.

    Parameters
    ----------
    id, title : str
        Identifier and short name.
    iso, us : Clause
        Where each rule set prints it.

    Returns
    -------
    callable
        The decorator.
    """

    def wrap(judge: Callable[[DesignRule, DesignFacts], Iterable[Finding]]) -> DesignRule:
        return Rule(id=id, title=title, iso=iso, us=us, judge=judge, module=judge.__module__)

    return wrap


def point_subject(point: Point) -> Subject:
    """Return a source, board, converter or link as the subject of a finding.

    Parameters
    ----------
    point : Source, Board, Converter or ParallelLink
        The point.

    Returns
    -------
    Subject
        The subject.
    """
    match point:
        case Source():
            kind = SubjectKind.SOURCE
        case Board():
            kind = SubjectKind.BOARD
        case Converter():
            kind = SubjectKind.CONVERTER
        case ParallelLink():
            kind = SubjectKind.LINK
    return Subject(kind=kind, id=point.id, label=point.label)
