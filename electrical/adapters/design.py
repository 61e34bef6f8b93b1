"""The whole job as one design of the electrical core."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from catalogue.models import ChargingSourceData, PartKind
from catalogue.models.electrical_data import ChargingKind
from electrical.adapters.circuits import circuit_of
from electrical.adapters.earthing import earthing_of
from electrical.adapters.links import links_of
from electrical.adapters.points import boards_of, converters_of, sources_of
from electrical.adapters.routes import Run
from electrical.core.design import Circuit, CircuitRole, Design, OperatingState, ParallelLink, Point
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
#: The engine is started through the emergency parallel switch. Nobody spends hours in it, so it
#: is no state of the day.
EMERGENCY_START = OperatingState(
    id="emergency_start",
    label="emergency start",
    starting=True,
    emergency=True,
    loads_as=State.ENGINE_START.value,
)
STATE_LABELS = {state.id: state.label for state in (*STATES, EMERGENCY_START)}


def design_of(facts: Facts, runs: Mapping[int, Run]) -> Design:
    sources, boards, converters = sources_of(facts), boards_of(facts), converters_of(facts)
    links = links_of(facts)
    every_point: tuple[Point, ...] = (*sources, *boards, *converters, *links)
    points = {point.id for point in every_point}
    every = (circuit_of(facts, circuit, runs) for circuit in facts.circuits)
    circuits = tuple(c for c in every if _has_ends(c, points) and is_lead_of_its_link(c, links))
    return Design(
        rule_set=RuleSet(facts.job.rule_set),
        sources=sources,
        boards=boards,
        converters=converters,
        circuits=circuits,
        links=links,
        states=(*STATES, EMERGENCY_START) if any(starts_through(circuits, links)) else STATES,
        has_mains=has_mains(facts),
        earthing=earthing_of(facts),
        segment_labels={str(s.pk): s.cableway for s in facts.segments},
    )


def _has_ends(circuit: Circuit, points: set[str]) -> bool:
    return {circuit.from_id, circuit.to_id or circuit.from_id} <= points


def is_lead_of_its_link(circuit: Circuit, links: Iterable[ParallelLink]) -> bool:
    """A third lead at an emergency switch leads nowhere."""
    if circuit.role is not CircuitRole.LINK:
        return True
    return any(
        circuit.to_id == link.id and circuit.from_id in {link.first_id, link.second_id}
        for link in links
    )


def starts_through(
    circuits: Sequence[Circuit], links: Iterable[ParallelLink]
) -> Iterator[ParallelLink]:
    """Links through which an engine can be started: a lead from either battery, no limiter,
    and an engine at the battery that is helped."""
    leads = {(c.to_id, c.from_id) for c in circuits if c.role is CircuitRole.LINK}
    helped = {c.from_id for c in circuits if c.role is CircuitRole.STARTING}
    for link in links:
        ends = {(link.id, link.first_id), (link.id, link.second_id)}
        if ends <= leads and link.first_id in helped and not link.current_limited:
            yield link


def has_mains(facts: Facts) -> bool:
    """A mains charger or an inverter: black is then avoided for the d.c. negative."""
    if facts.of_kind(PartKind.INVERTER):
        return True
    return any(
        isinstance(record, ChargingSourceData) and record.source == ChargingKind.MAINS
        for record in map(record_of, facts.devices)
    )
