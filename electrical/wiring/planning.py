"""Everything `wire up` would make for a job as it stands."""

from collections import Counter
from dataclasses import replace

from electrical.facts import Facts
from electrical.models import CircuitRole
from electrical.wiring.backbone import Backbone
from electrical.wiring.loads import propose_loads
from electrical.wiring.proposal import Proposal, Proposals

ORDER = (
    CircuitRole.SOURCE,
    CircuitRole.STARTING,
    CircuitRole.FEEDER,
    CircuitRole.CHARGING,
    CircuitRole.CONVERTER,
    CircuitRole.LOAD,
    CircuitRole.LINK,
)


def planned(facts: Facts) -> Proposals:
    proposals = Proposals()
    if not facts.devices:
        return proposals
    backbone = Backbone(facts, proposals)
    backbone.propose()
    propose_loads(backbone)
    ordered = sorted(proposals.circuits, key=lambda p: (ORDER.index(p.role), p.origin.pk))
    proposals.circuits = _told_apart(facts, ordered)
    return proposals


def _told_apart(facts: Facts, proposals: list[Proposal]) -> list[Proposal]:
    """Two circuits of one name get their zone, and where that is one too, their device."""
    names = Counter([p.name for p in proposals] + [c.name for c in facts.circuits])
    with_zone = [
        replace(p, name=f"{p.name}, {zone_of(facts, p)}"[:120]) if names[p.name] > 1 else p
        for p in proposals
    ]
    again = Counter(p.name for p in with_zone)
    return [
        replace(p, name=f"{p.devices[-1].label} {p.name}"[:120]) if again[p.name] > 1 else p
        for p in with_zone
    ]


def zone_of(facts: Facts, proposal: Proposal) -> str:
    zone = facts.zone_by_id.get(proposal.devices[-1].zone_id)
    return zone.name if zone else ""
