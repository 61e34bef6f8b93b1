"""The check of the data backbone: the core's rules, and whether the build sheet has its parts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from electrical.adapters.data_backbone import LABEL, backbone_of
from electrical.core.backbone import BackboneMeasures
from electrical.core.errors import CoreError
from electrical.core.findings import Finding, Severity, Subject, SubjectKind
from electrical.core.results import DesignResult
from electrical.core.rules.data_backbone import check_backbone
from electrical.core.status import NO_SOURCE
from electrical.core.tables import data_backbone as table
from electrical.data_backbone.layout import FEWEST, Layout
from electrical.facts import Facts
from electrical.models import Device

RULE_PREFIX = "data-"
WHOLE = Subject(kind=SubjectKind.DESIGN, id=LABEL, label=LABEL)


@dataclass(frozen=True)
class Judged:
    layout: Layout
    measures: BackboneMeasures | None
    findings: tuple[Finding, ...]

    @property
    def passed(self) -> int:
        return sum(not finding.is_open for finding in self.findings)

    @property
    def open(self) -> tuple[Finding, ...]:
        return tuple(finding for finding in self.findings if finding.is_open)


def judged(layout: Layout, result: DesignResult | None) -> Judged:
    """Trouble with the data is a finding, never an exception."""
    own = tuple(_own(layout))
    if len(layout.tees) < FEWEST or layout.unknown:
        return Judged(layout, None, own)
    supply_v = {tee.device.pk: feed_v(layout.facts, result, tee.device) for tee in layout.feeds}
    try:
        measures, findings = check_backbone(backbone_of(layout, supply_v))
    except CoreError as error:
        return Judged(layout, None, (*own, _cannot_tell(str(error), "values that can be")))
    return Judged(layout, measures, (*findings, *own))


def feed_v(facts: Facts, result: DesignResult | None, feed: Device) -> float | None:
    """At the end of the feed's own circuit in its worst state; None until known."""
    for circuit in facts.fed_by.get(feed.pk, ()):
        found = result.circuits.get(str(circuit.pk)) if result else None
        if found is not None and found.drop is not None:
            return found.drop.device_v
    return None


def _own(layout: Layout) -> Iterator[Finding]:
    for tee in layout.unknown:
        yield _cannot_tell(
            f"No cableway leads to {tee.label} {tee.device.label} from the tee before it. Join "
            "them on the hull plan, or enter a measured length.",
            "length of the backbone",
        )
    if layout.tees:
        yield from _too_few("tees", len(layout.devices), layout.pieces.tees)
        yield from _too_few("terminators", table.TERMINATORS, layout.pieces.terminators)
        yield from _too_few("m of backbone cable", layout.length_m, layout.pieces.backbone_m)


def _too_few(words: str, needed: float, present: float) -> Iterator[Finding]:
    if present < needed:
        yield Finding(
            rule_id="data-parts",
            title="Parts of the backbone on the build sheet",
            severity=Severity.NOTE,
            subject=WHOLE,
            message=f"The backbone takes {needed:.3g} {words}; the build sheet has {present:.3g}.",
            clause=NO_SOURCE,
            value=present,
            limit=needed,
        )


def _cannot_tell(sentence: str, missing: str) -> Finding:
    return Finding(
        rule_id="data-layout",
        title="Layout of the data backbone",
        severity=Severity.CANNOT_TELL,
        subject=WHOLE,
        message=sentence,
        clause=NO_SOURCE,
        missing=(missing,),
    )
