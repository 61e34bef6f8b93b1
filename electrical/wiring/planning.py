"""Everything `wire up` would make for a job as it stands."""

from electrical.facts import Facts
from electrical.models import CircuitRole
from electrical.wiring.backbone import Backbone
from electrical.wiring.loads import propose_loads
from electrical.wiring.proposal import Proposals

ORDER = (
    CircuitRole.SOURCE,
    CircuitRole.STARTING,
    CircuitRole.FEEDER,
    CircuitRole.CHARGING,
    CircuitRole.CONVERTER,
    CircuitRole.LOAD,
)


def planned(facts: Facts) -> Proposals:
    proposals = Proposals()
    if not facts.devices:
        return proposals
    backbone = Backbone(facts, proposals)
    backbone.propose()
    propose_loads(backbone)
    proposals.circuits.sort(key=lambda p: (ORDER.index(p.role), p.origin.pk))
    return proposals
