"""Random vessels: any shape a person could enter, sensible or not."""

from dataclasses import replace
from typing import Any

from hypothesis import strategies as st

from electrical.core.design import (
    Circuit,
    CircuitRole,
    Design,
    DropClass,
    OperatingState,
    ParallelLink,
    Route,
)
from electrical.core.earthing import BondingConductor, Earthing, EarthingKind
from electrical.core.findings import RuleSet
from electrical.core.parts import Cable, DeviceType, Load, LoadKind, Place, Protection, Switch
from electrical.core.sizes import ConductorSize
from electrical.core.sources import Board, Chemistry, Converter, Source, SourceKind
from electrical.core.tables import cfr183_425, iso10133

STATES = (
    OperatingState(id="day", label="day"),
    OperatingState(id="charge", label="charge", charging=True),
    OperatingState(id="start", label="start", starting=True),
    OperatingState(
        id="emergency", label="emergency", starting=True, emergency=True, loads_as="start"
    ),
)
PLACES = (
    Place(id="A", label="Helm"),
    Place(id="B", label="Engine well", engine_space=True, petrol_vapour=True, ventilated=True),
    Place(id="C", label="Locker", ventilated=False),
)
SEGMENTS = ("W1", "W2", "W3")


def known_or_not(strategy: st.SearchStrategy[float]) -> st.SearchStrategy[float | None]:
    return st.none() | strategy


amperes = st.floats(0.01, 500.0)
metres = st.floats(0.0, 60.0)
yes_no_unknown = st.sampled_from([True, False, None])
places = st.none() | st.sampled_from(PLACES)
sizes = st.sampled_from(
    [ConductorSize(mm2=size) for size in iso10133.TABLE]
    + [ConductorSize(awg=gauge) for gauge in cfr183_425.TABLE_5]
    + [ConductorSize(mm2=3.0), ConductorSize(mm2=0.5), ConductorSize(awg="22")]
)
colours = st.sampled_from(["", "red", "yellow", "black", "green with yellow stripe", "dark grey"])
cables = st.builds(
    Cable,
    size=sizes,
    insulation_c=st.sampled_from([60, 70, 75, 85, 90, 105, 125, 200]),
    tinned=st.booleans(),
    sheathed=st.booleans(),
    in_parallel=st.integers(1, 3),
    colour=colours,
    negative_colour=colours,
    cores=st.integers(1, 3),
)
protections = st.builds(
    Protection,
    rating_a=amperes,
    device=st.sampled_from(DeviceType),
    breaking_capacity_a=known_or_not(st.floats(100, 30000)),
    rated_v=known_or_not(st.sampled_from([14.0, 32.0, 58.0])),
    distance_m=known_or_not(st.floats(0, 3)),
    place=places,
    ignition_protected=yes_no_unknown,
)
routes = st.builds(
    Route,
    length_m=metres,
    segment_ids=st.lists(st.sampled_from(SEGMENTS), max_size=3).map(tuple),
    places=st.lists(st.sampled_from(PLACES), max_size=2).map(tuple),
    ambient_c=known_or_not(st.floats(-20, 79)),
)
switches = st.builds(
    Switch,
    label=st.just("Switch"),
    continuous_a=known_or_not(amperes),
    intermittent_a=known_or_not(amperes),
    cranking_a=known_or_not(amperes),
    poles=st.none() | st.integers(1, 2),
    place=places,
    ignition_protected=yes_no_unknown,
)


def loads(index: int) -> st.SearchStrategy[Load]:
    return st.builds(
        Load,
        id=st.just(f"load {index}"),
        label=st.just(f"Load {index}"),
        current_a=known_or_not(st.floats(0.0, 200.0)),
        kind=st.sampled_from(LoadKind),
        resistive_share=st.floats(0, 1),
        current_a_by_state=st.none()
        | st.dictionaries(st.sampled_from(["day", "charge", "start"]), st.floats(0.0, 200.0)),
        start_current_a=known_or_not(amperes),
        start_s=st.floats(0, 10),
        is_motor=st.booleans(),
        continuous=st.booleans(),
        min_working_v=known_or_not(st.floats(5, 30)),
        position_m=known_or_not(metres),
        place=places,
        ignition_protected=yes_no_unknown,
    )


def sources(name: str) -> st.SearchStrategy[Source]:
    return st.builds(
        Source,
        id=st.just(name),
        label=st.just(name),
        kind=st.sampled_from(SourceKind),
        nominal_v=st.sampled_from([12.0, 24.0]),
        internal_r_ohm=known_or_not(st.floats(0.0005, 0.1)),
        short_circuit_a=known_or_not(st.floats(100, 20000)),
        cca_a=known_or_not(st.floats(100, 3000)),
        capacity_ah=known_or_not(st.floats(10, 1000)),
        chemistry=st.none() | st.sampled_from(Chemistry),
        strings=st.integers(1, 3),
        strings_fused=yes_no_unknown,
        max_output_a=known_or_not(amperes),
        limits_itself=yes_no_unknown,
        management_limit_a=known_or_not(amperes),
        fastened=yes_no_unknown,
        place=places,
        isolator=st.none() | switches,
    )


def converters(name: str) -> st.SearchStrategy[Converter]:
    return st.builds(
        Converter,
        id=st.just(name),
        label=st.just(name),
        output_v=st.sampled_from([12.0, 24.0, 48.0]),
        efficiency=known_or_not(st.floats(0.5, 1.0)),
        max_output_a=known_or_not(amperes),
        input_cutoff_v=known_or_not(st.floats(8, 22)),
        fixed_input_a=known_or_not(amperes),
        isolated=yes_no_unknown,
        place=places,
        ignition_protected=yes_no_unknown,
    )


@st.composite
def circuits(draw: st.DrawFn, index: int, points: tuple[str, ...]) -> Circuit:
    from_id = draw(st.sampled_from(points))
    others = [point for point in points if point != from_id]
    to_id = draw(st.none() | st.sampled_from(others)) if others else None
    some_loads = (
        () if to_id else tuple(draw(loads(10 * index + n)) for n in range(draw(st.integers(0, 3))))
    )
    return Circuit(
        id=f"C{index}",
        label=f"C{index}",
        from_id=from_id,
        to_id=to_id,
        role=draw(st.sampled_from([r for r in CircuitRole if r is not CircuitRole.LINK])),
        nominal_v=draw(st.sampled_from([12.0, 24.0])),
        cable=draw(st.none() | cables),
        route=draw(st.none() | routes),
        protection=draw(st.none() | protections),
        protection_at_end=draw(st.none() | protections),
        switch=draw(st.none() | switches),
        loads=some_loads,
        drop_class=draw(st.sampled_from(DropClass)),
        drop_limit_pct=draw(known_or_not(st.floats(0.5, 15))),
        always_live=draw(st.booleans()),
        max_current_a=draw(known_or_not(amperes)),
    )


bonds = st.builds(
    BondingConductor,
    id=st.sampled_from(["tank", "mast", "rail"]),
    label=st.just("Fuel tank"),
    size=st.none() | sizes,
    circuit_id=st.sampled_from([None, "C0", "C1", "gone"]),
    colour=colours,
)
earthings = st.builds(
    Earthing,
    kind=st.none() | st.sampled_from(EarthingKind),
    joints=st.none() | st.integers(0, 3),
    bonding=st.lists(bonds, max_size=2, unique_by=lambda bond: bond.id).map(tuple),
)


@st.composite
def designs(draw: st.DrawFn) -> Design:
    batteries = tuple(draw(sources(f"S{n}")) for n in range(draw(st.integers(0, 3))))
    boards = tuple(
        Board(
            id=f"B{n}",
            label=f"B{n}",
            nominal_v=12.0,
            busbar_a=draw(known_or_not(amperes)),
            way_max_a=draw(known_or_not(amperes)),
            place=draw(places),
        )
        for n in range(draw(st.integers(1, 3)))
    )
    some_converters = tuple(draw(converters(f"U{n}")) for n in range(draw(st.integers(0, 2))))
    joined: tuple[Any, ...] = (*batteries, *boards, *some_converters)
    points = tuple(point.id for point in joined)
    some_circuits = tuple(draw(circuits(n, points)) for n in range(draw(st.integers(0, 7))))
    links: tuple[ParallelLink, ...] = ()
    if len(batteries) > 1:
        links = (
            ParallelLink(
                id="K",
                label="Link",
                first_id="S0",
                second_id="S1",
                rating_a=draw(known_or_not(amperes)),
                starting_a=draw(known_or_not(amperes)),
                loop_r_ohm=draw(known_or_not(st.floats(0.0005, 0.05))),
                current_limited=draw(yes_no_unknown),
            ),
        )
        some_circuits += tuple(
            replace(draw(circuits(20 + n, (f"S{n}",))), role=CircuitRole.LINK, to_id="K", loads=())
            for n in range(draw(st.integers(0, 2)))
        )
    return Design(
        rule_set=draw(st.sampled_from(RuleSet)),
        sources=batteries,
        boards=boards,
        converters=some_converters,
        circuits=some_circuits,
        links=links,
        states=STATES,
        ambient_c=draw(st.floats(-20, 60)),
        has_mains=draw(st.booleans()),
        earthing=draw(st.none() | earthings),
    )
