"""Input: one vessel's electrical design, ready to be checked.

The caller fills a :class:`Design`; :func:`electrical.core.check.check_design`
answers with a :class:`electrical.core.results.DesignResult`.

Points of the system are identified by strings. Sources, boards and converters
share one set of identifiers; a circuit runs from one of them (`from_id`) to
another (`to_id`), or, when `to_id` is None, to its own loads.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property

from electrical.core.earthing import Earthing
from electrical.core.errors import BadInput, check_not_negative, check_positive, require_positive
from electrical.core.findings import RuleSet
from electrical.core.parts import Cable, Load, Place, Protection, Switch
from electrical.core.sources import Board, Converter, Source


class CircuitRole(StrEnum):
    """What a circuit is for."""

    LOAD = "load"
    FEEDER = "feeder"
    SOURCE = "source lead"
    CHARGING = "charging"
    STARTING = "engine starting"
    LINK = "emergency parallel"


class DropClass(StrEnum):
    """How much voltage drop the circuit's work allows."""

    CRITICAL = "critical"
    GENERAL = "general"


@dataclass(frozen=True, kw_only=True)
class Route:
    """Where a run lies.

    Parameters
    ----------
    length_m : float
        One-way conductor length, tails and slack included [m].
    segment_ids : tuple of str
        Cableway segments it lies in, for grouping.
    places : tuple of Place
        Zones it passes.
    ambient_c : float or None
        Hottest surrounding air on the way [°C]; None = the design's.
    """

    length_m: float
    segment_ids: tuple[str, ...] = ()
    places: tuple[Place, ...] = ()
    ambient_c: float | None = None

    def __post_init__(self) -> None:
        check_not_negative("Run", {"length": (self.length_m, "m")})

    @property
    def in_engine_space(self) -> bool:
        """Whether any part lies in an engine space."""
        return any(place.engine_space for place in self.places)

    @property
    def in_petrol_vapour(self) -> bool:
        """Whether any part lies where petrol vapour may gather."""
        return any(place.petrol_vapour for place in self.places)


@dataclass(frozen=True, kw_only=True)
class Circuit:
    """One circuit: a run, its protective device and what it feeds.

    Parameters
    ----------
    id, label : str
        Identifier and name, e.g. ``"C12"``.
    from_id : str
        Board, source or converter it starts from.
    to_id : str or None
        Board, source or converter it ends at; None for loads only.
    role : CircuitRole
        What it is for.
    nominal_v : float
        Nominal voltage [V].
    cable : Cable or None
        None = not chosen yet.
    route : Route or None
        None = no way found or not placed yet.
    protection : Protection or None
        Device at its start; None = none fitted.
    protection_at_end : Protection or None
        Second device, where a second source can feed the run from its far end.
    switch : Switch or None
        Switch in the circuit.
    loads : tuple of Load
        What it feeds, when `to_id` is None.
    drop_class : DropClass
        Critical or general.
    drop_limit_pct : float or None
        The workshop's own, stricter limit [%]; None = the rule set's.
    always_live : bool
        Connected ahead of the isolator.
    max_current_a : float or None
        For source leads and charging runs: largest current [A]. For the lead of an
        emergency link: what it is made for where the start through it can not be told.
    function : str
        Trade function for the colour code, e.g. ``"pumps"``.
    """

    id: str
    label: str
    from_id: str
    to_id: str | None = None
    role: CircuitRole = CircuitRole.LOAD
    nominal_v: float
    cable: Cable | None = None
    route: Route | None = None
    protection: Protection | None = None
    protection_at_end: Protection | None = None
    switch: Switch | None = None
    loads: tuple[Load, ...] = ()
    drop_class: DropClass = DropClass.GENERAL
    drop_limit_pct: float | None = None
    always_live: bool = False
    max_current_a: float | None = None
    function: str = ""

    def __post_init__(self) -> None:
        owner = f"Circuit {self.label}"
        check_positive(
            owner,
            {
                "nominal voltage": (self.nominal_v, "V"),
                "drop limit": (self.drop_limit_pct, "%"),
                "largest current": (self.max_current_a, "A"),
            },
        )
        if self.to_id is not None and self.to_id == self.from_id:
            raise BadInput(f"{owner}: it starts and ends at the same point.")
        if self.to_id is not None and self.loads:
            raise BadInput(f"{owner}: a circuit to another point carries no loads of its own.")


@dataclass(frozen=True, kw_only=True)
class OperatingState:
    """Which loads are on, as in under way by night.

    Parameters
    ----------
    id, label : str
        Identifier and name.
    charging : bool
        Charging sources deliver in this state.
    starting : bool
        An engine is started in this state; drops are then not held to the limits.
    emergency : bool
        The emergency links are closed, and the batteries they help give nothing.
    loads_as : str
        Identifier of the state whose loads are on in it; empty = its own.
    """

    id: str
    label: str
    charging: bool = False
    starting: bool = False
    emergency: bool = False
    loads_as: str = ""

    @property
    def loads_id(self) -> str:
        """Identifier under which loads say what they take in this state."""
        return self.loads_as or self.id


EVERYTHING = OperatingState(id="everything", label="everything")


@dataclass(frozen=True, kw_only=True)
class ParallelLink:
    """A switch or relay that joins two batteries in an emergency; its leads end at it.

    Its leads are circuits of the role "emergency parallel", one from each battery, with
    `to_id` = the link's id. Positive and return of a lead are alike.

    Parameters
    ----------
    id, label : str
        Identifier and name.
    first_id, second_id : str
        The two sources it joins: the one that starts the engine, and the one that helps.
    rating_a : float or None
        Current it may carry for minutes [A]; None = not known.
    starting_a : float or None
        Current it may carry while an engine is started [A]; None = not known.
    loop_r_ohm : float or None
        Resistance of both leads and the contact [Ω], where the leads are no circuits;
        None = not known.
    current_limited : bool or None
        A limiter keeps the equalising current down; None = not known. A link with a
        limiter carries no starting current.
    place : Place or None
        Zone it sits in.
    ignition_protected : bool or None
        Marked as ignition protected; None = not known.
    """

    id: str
    label: str
    first_id: str
    second_id: str
    rating_a: float | None = None
    starting_a: float | None = None
    loop_r_ohm: float | None = None
    current_limited: bool | None = None
    place: Place | None = None
    ignition_protected: bool | None = None

    def __post_init__(self) -> None:
        check_positive(
            f"Link {self.label}",
            {
                "rating": (self.rating_a, "A"),
                "starting rating": (self.starting_a, "A"),
                "resistance": (self.loop_r_ohm, "Ω"),
            },
        )


Point = Source | Board | Converter | ParallelLink


@dataclass(frozen=True, kw_only=True)
class Design:
    """One vessel's d.c. system.

    Parameters
    ----------
    rule_set : RuleSet
        Which rules decide.
    sources, boards, converters, circuits, links : tuple
        The parts. Identifiers of sources, boards, converters and links are unique together.
    states : tuple of OperatingState
        At least one.
    ambient_c : float
        Surrounding air outside engine spaces [°C].
    critical_drop_pct, general_drop_pct : float
        Drop limits [%].
    has_mains : bool
        Mains (a.c.) is fitted as well: black is then avoided for the d.c. negative.
    segment_labels : Mapping[str, str]
        Name of each cableway segment, for messages.
    earthing : Earthing or None
        How it meets earth, and what is bonded; None = not known.
    """

    rule_set: RuleSet
    sources: tuple[Source, ...] = ()
    boards: tuple[Board, ...] = ()
    converters: tuple[Converter, ...] = ()
    circuits: tuple[Circuit, ...] = ()
    links: tuple[ParallelLink, ...] = ()
    states: tuple[OperatingState, ...] = (EVERYTHING,)
    ambient_c: float = 30.0
    critical_drop_pct: float = 3.0
    general_drop_pct: float = 10.0
    has_mains: bool = False
    segment_labels: Mapping[str, str] = field(default_factory=dict)
    earthing: Earthing | None = None

    def __post_init__(self) -> None:
        if not self.states:
            raise BadInput("Design: at least one operating state is needed.")
        if not -40.0 <= self.ambient_c <= 80.0:
            raise BadInput(f"Surrounding air: {self.ambient_c:g} °C; -40 to 80 °C allowed.")
        require_positive("Drop limit, critical", self.critical_drop_pct, "%")
        require_positive("Drop limit, general", self.general_drop_pct, "%")
        self._check_identifiers()
        self._check_ends()

    def _check_identifiers(self) -> None:
        points = [point.id for point in self._all_points]
        circuits = [c.id for c in self.circuits]
        bonds = [bond.id for bond in self.earthing.bonding] if self.earthing else []
        for kind, ids in (("point", points), ("circuit", circuits), ("bonding conductor", bonds)):
            twice = {i for i in ids if ids.count(i) > 1}
            if twice:
                raise BadInput(f"Design: the {kind} {min(twice)} is there twice.")

    def _check_ends(self) -> None:
        for circuit in self.circuits:
            for end in (circuit.from_id, circuit.to_id):
                if end is not None and end not in self.points:
                    raise BadInput(f"Circuit {circuit.label}: there is no point {end}.")
            self._check_lead(circuit)
        sources = {source.id for source in self.sources}
        for link in self.links:
            if {link.first_id, link.second_id} - sources or link.first_id == link.second_id:
                raise BadInput(f"Link {link.label}: it must join two different sources.")

    def _check_lead(self, circuit: Circuit) -> None:
        link = self.points[circuit.to_id] if circuit.to_id is not None else None
        if isinstance(self.points[circuit.from_id], ParallelLink):
            raise BadInput(f"Circuit {circuit.label}: nothing starts at an emergency link.")
        if isinstance(link, ParallelLink) != (circuit.role is CircuitRole.LINK):
            raise BadInput(
                f"Circuit {circuit.label}: the leads of an emergency link, and no other circuit, "
                "end at one."
            )
        if isinstance(link, ParallelLink) and circuit.from_id not in {
            link.first_id,
            link.second_id,
        }:
            raise BadInput(
                f"Circuit {circuit.label}: it starts at none of the two batteries that "
                f"{link.label} joins."
            )

    @property
    def _all_points(self) -> tuple[Point, ...]:
        return (*self.sources, *self.boards, *self.converters, *self.links)

    @cached_property
    def points(self) -> Mapping[str, Point]:
        """Sources, boards, converters and links by identifier."""
        return {point.id: point for point in self._all_points}

    def drop_limit_pct(self, circuit: Circuit) -> float:
        """Return the drop limit that holds for `circuit` [%]."""
        if circuit.drop_limit_pct is not None:
            return circuit.drop_limit_pct
        if circuit.drop_class is DropClass.CRITICAL:
            return self.critical_drop_pct
        return self.general_drop_pct
