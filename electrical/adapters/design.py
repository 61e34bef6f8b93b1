"""The whole job as one design of the electrical core."""

from collections.abc import Mapping

from catalogue.models import ChargingSourceData, PartKind
from catalogue.models.electrical_data import ChargingKind
from electrical.adapters.circuits import circuit_of
from electrical.adapters.earthing import earthing_of
from electrical.adapters.links import links_of
from electrical.adapters.points import boards_of, converters_of, sources_of
from electrical.adapters.routes import Run
from electrical.core.design import Design, OperatingState
from electrical.core.findings import RuleSet
from electrical.facts import Facts, record_of
from electrical.models import OperatingState as State

STATES = tuple(
    OperatingState(
        id=state.value,
        label=state.label.lower(),
        charging=state in (State.UNDER_WAY_DAY, State.UNDER_WAY_NIGHT, State.WORKING, State.SHORE),
        starting=state == State.ENGINE_START,
    )
    for state in State
)


def design_of(facts: Facts, runs: Mapping[int, Run]) -> Design:
    sources, boards, converters = sources_of(facts), boards_of(facts), converters_of(facts)
    points = {p.id for p in sources} | {p.id for p in boards} | {p.id for p in converters}
    circuits = tuple(circuit_of(facts, circuit, runs) for circuit in facts.circuits)
    return Design(
        rule_set=RuleSet(facts.job.rule_set),
        sources=sources,
        boards=boards,
        converters=converters,
        circuits=tuple(c for c in circuits if {c.from_id, c.to_id or c.from_id} <= points),
        links=links_of(facts),
        states=STATES,
        has_mains=has_mains(facts),
        earthing=earthing_of(facts),
        segment_labels={str(s.pk): s.cableway for s in facts.segments},
    )


def has_mains(facts: Facts) -> bool:
    """A mains charger or an inverter: black is then avoided for the d.c. negative."""
    if facts.of_kind(PartKind.INVERTER):
        return True
    return any(
        isinstance(record, ChargingSourceData) and record.source == ChargingKind.MAINS
        for record in map(record_of, facts.devices)
    )
