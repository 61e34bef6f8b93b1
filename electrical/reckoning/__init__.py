"""How the figures of each finding come about: the value, its limit, and what went into them."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from electrical.check import Checked
from electrical.core.findings import Finding, Subject, SubjectKind
from electrical.finding_groups import (
    device_of,
    figure_text,
    figure_texts,
    place_of,
    source_of,
)
from electrical.models import Circuit, Device
from electrical.reckoning.case import Case, How, Solved, Ways
from electrical.reckoning.of_backbone import OF_BACKBONE
from electrical.reckoning.of_circuits import OF_CIRCUITS
from electrical.reckoning.of_points import OF_POINTS
from electrical.reckoning.of_sheet import OF_SHEET

#: By rule; a rule that is not there gives no figures.
WAYS: dict[str, Ways] = {**OF_CIRCUITS, **OF_POINTS, **OF_SHEET, **OF_BACKBONE}


#: In the order somebody reads them.
KINDS = (
    SubjectKind.DESIGN,
    SubjectKind.SOURCE,
    SubjectKind.BOARD,
    SubjectKind.CONVERTER,
    SubjectKind.LINK,
    SubjectKind.PART,
)


@dataclass(frozen=True)
class Reckoned:
    """One check as a page tells it; without figures both ways are empty."""

    finding: Finding
    value: How | None
    limit: How | None

    @property
    def name(self) -> str:
        """Of the rule, and of the end where it is asked of a second device."""
        title = self.finding.title
        return f"{title}, far end" if self.finding.at_far_end else title

    @property
    def kind(self) -> str:
        return self.finding.severity.value.replace(" ", "_")

    @property
    def value_text(self) -> str:
        if self.finding.limit is None:
            return figure_text(self.finding.value, self.finding.unit)
        return figure_texts(self.finding.value, self.finding.limit, self.finding.unit)[0]

    @property
    def limit_text(self) -> str:
        return figure_texts(self.finding.value, self.finding.limit, self.finding.unit)[1]

    @property
    def source(self) -> str:
        return source_of(self.finding.clause)


@dataclass(frozen=True)
class OfSubject:
    """Everything that was judged about one device, board, part or the whole."""

    place: str
    subject: Subject
    device: Device | None
    checks: tuple[Reckoned, ...]

    @property
    def name(self) -> str:
        return f"{self.device.label} {self.device.name}" if self.device else self.subject.label

    @property
    def is_open(self) -> bool:
        """Whether somebody has to look at one of them."""
        return any(check.finding.is_open for check in self.checks)

    @property
    def order(self) -> tuple[int, list[tuple[int, str]]]:
        """The whole, sources, boards, then the others, each by label: T2 before T10."""
        pieces = re.findall(r"\d+|\D+", self.name)
        by_label = [(int(p), "") if p.isdecimal() else (-1, p) for p in pieces]
        return KINDS.index(self.subject.kind), by_label


@dataclass(frozen=True)
class Reckoner:
    checked: Checked

    def about(self, circuit: Circuit) -> list[Reckoned]:
        """Every check of one circuit, worst first."""
        subject = SubjectKind.CIRCUIT, str(circuit.pk)
        return self._reckoned(f for f in self.checked.judged if f.subject[:2] == subject)

    @cached_property
    def elsewhere(self) -> list[OfSubject]:
        """What is about no circuit, by subject."""
        facts = self.checked.facts
        by_place: dict[str, list[Finding]] = {}
        for finding in self.checked.judged:
            if finding.subject.kind is not SubjectKind.CIRCUIT:
                by_place.setdefault(place_of(facts, finding), []).append(finding)
        found = [
            OfSubject(
                place=place,
                subject=min((f.subject for f in findings), key=lambda s: KINDS.index(s.kind)),
                device=device_of(facts, findings[0]),
                checks=tuple(self._reckoned(findings)),
            )
            for place, findings in by_place.items()
        ]
        return sorted(found, key=lambda one: one.order)

    def _reckoned(self, findings: Iterable[Finding]) -> list[Reckoned]:
        return [self.of(finding) for finding in findings]

    def of(self, finding: Finding) -> Reckoned:
        ways = WAYS.get(finding.rule_id)
        if finding.value is None or ways is None:
            return Reckoned(finding, None, None)
        value, limit = ways(Case(finding, self.checked.facts, self._solved))
        return Reckoned(finding, value, limit)

    @cached_property
    def _solved(self) -> Solved | None:
        design, result = self.checked.design, self.checked.result
        return Solved(design, result) if design and result else None
