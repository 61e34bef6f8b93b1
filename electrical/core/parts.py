"""Input: the things a circuit is made of (places, cables, protection, switches, loads)."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from electrical.core.curves import Curve
from electrical.core.errors import BadInput, check_not_negative, check_positive
from electrical.core.sizes import ConductorSize


@dataclass(frozen=True, kw_only=True)
class Place:
    """A zone as the electrician sees it.

    Parameters
    ----------
    id, label : str
        Identifier and name of the zone.
    engine_space : bool
        Hot engine space: ampacity factors of the rule set apply.
    petrol_vapour : bool
        Petrol engine, tank or fitting in a space that is not open to the air.
    living_space : bool
        Accommodation: people sleep or stay inside.
    ventilated : bool or None
        Open to the outside air, so that battery gas gets out; None = not known.
    wet : bool
        Spray, bilge water or open deck.
    """

    id: str
    label: str
    engine_space: bool = False
    petrol_vapour: bool = False
    living_space: bool = False
    ventilated: bool | None = None
    wet: bool = False


class CableConstruction(StrEnum):
    """Conductor class of IEC 60228 or gauge strand."""

    SOLID = "class 1"
    STRANDED = "class 2"
    FLEXIBLE = "class 5"

    __hash__ = str.__hash__  # looked up often; an Enum would hash its name in Python


@dataclass(frozen=True, kw_only=True)
class Cable:
    """One conductor pair (positive and return alike).

    Parameters
    ----------
    size : ConductorSize
        Size of each conductor.
    insulation_c : int
        Temperature rating of the insulation [°C]: 60 to 200.
    tinned : bool
        Metal-coated strands (higher maximum resistance).
    construction : CableConstruction
        Class of the conductor; flexible unless told.
    sheathed : bool
        In a sheath, conduit or other enclosure besides its insulation.
    max_r_ohm_per_km : float or None
        Maker's maximum resistance at 20 °C [Ω/km]; replaces the table's.
    in_parallel : int
        Equal conductors in parallel per pole, 1 to 8.
    colour : str
        Colour of the positive's insulation; empty = not known.
    negative_colour : str
        Colour of the negative's insulation; empty = not known.
    cores : int
        Conductors in one sheath: 1 for single cores.
    is_thermosetting : bool or None
        Insulation that does not soften when hot (cross-linked, silicone); None = not known.
    """

    size: ConductorSize
    insulation_c: int = 85
    tinned: bool = True
    construction: CableConstruction = CableConstruction.FLEXIBLE
    sheathed: bool = True
    max_r_ohm_per_km: float | None = None
    in_parallel: int = 1
    colour: str = ""
    negative_colour: str = ""
    cores: int = 1
    is_thermosetting: bool | None = None

    def __post_init__(self) -> None:
        check_positive("Cable", {"resistance": (self.max_r_ohm_per_km, "Ω/km")})
        if not 1 <= self.in_parallel <= 8:
            raise BadInput(f"Cable: {self.in_parallel} conductors in parallel; 1 to 8 allowed.")


class DeviceType(StrEnum):
    """Generic kind of protective device."""

    BLADE = "blade fuse"
    MINI_BLADE = "miniature blade fuse"
    MAXI_BLADE = "high-current blade fuse"
    STRIP_M5 = "bolt-in strip fuse M5"
    STRIP_M8 = "bolt-in strip fuse M8"
    LIMITER = "bolt-in limiter with window"
    CUBE = "terminal-mount cube fuse"
    CLASS_T = "class T fuse"
    GLASS = "glass or ceramic cartridge"
    CYLINDRICAL = "cylindrical fuse-link"
    PANEL_BREAKER = "hydraulic-magnetic panel breaker"
    SURFACE_BREAKER = "thermal surface breaker"
    OTHER = "other"

    __hash__ = str.__hash__  # looked up often; an Enum would hash its name in Python


@dataclass(frozen=True, kw_only=True)
class Protection:
    """The protective device at the start of a circuit.

    Parameters
    ----------
    rating_a : float
        Rated current [A].
    device : DeviceType
        Generic kind; unknown kinds have no time-current data.
    breaking_capacity_a : float or None
        Marked breaking capacity [A] at `rated_v`; None = not known.
    rated_v : float or None
        Highest d.c. voltage the breaking capacity holds for [V]; None = not known.
    distance_m : float or None
        Unprotected conductor length from the point of supply [m]; None = not known.
    place : Place or None
        Zone it sits in.
    ignition_protected : bool or None
        Marked as ignition protected; None = not known.
    curve : Curve or None
        The maker's time-current curve, which prevails over the limits of its kind.
    """

    rating_a: float
    device: DeviceType = DeviceType.OTHER
    breaking_capacity_a: float | None = None
    rated_v: float | None = None
    distance_m: float | None = None
    place: Place | None = None
    ignition_protected: bool | None = None
    curve: Curve | None = None

    def __post_init__(self) -> None:
        check_positive(
            "Protective device",
            {
                "rating": (self.rating_a, "A"),
                "breaking capacity": (self.breaking_capacity_a, "A"),
                "rated voltage": (self.rated_v, "V"),
            },
        )
        check_not_negative("Protective device", {"distance": (self.distance_m, "m")})


@dataclass(frozen=True, kw_only=True)
class Switch:
    """A switch or isolator in a circuit.

    Parameters
    ----------
    label : str
        Name on the drawing.
    continuous_a : float or None
        Current it carries without end [A]; None = not known.
    intermittent_a : float or None
        Current it carries for a few minutes [A].
    cranking_a : float or None
        Current it carries while an engine is started [A].
    poles : int or None
        Poles it switches; None = not known.
    place : Place or None
        Zone it sits in.
    ignition_protected : bool or None
        Marked as ignition protected; None = not known.
    id : str
        Identifier, the same wherever this switch is met; empty = nothing but part of its
        circuit.
    """

    label: str
    continuous_a: float | None = None
    intermittent_a: float | None = None
    cranking_a: float | None = None
    poles: int | None = None
    place: Place | None = None
    ignition_protected: bool | None = None
    id: str = ""

    def __post_init__(self) -> None:
        check_positive(
            f"Switch {self.label}",
            {
                "continuous rating": (self.continuous_a, "A"),
                "intermittent rating": (self.intermittent_a, "A"),
                "starting rating": (self.cranking_a, "A"),
            },
        )


class LoadKind(StrEnum):
    """How the current of a load follows its voltage."""

    CONSTANT_POWER = "constant power"
    CONSTANT_CURRENT = "constant current"
    RESISTIVE = "resistive"
    MIX = "part constant power, part resistance"

    __hash__ = str.__hash__  # looked up often; an Enum would hash its name in Python


#: Parts of the current that go with constant power, with constant current, with a resistance.
_SHARES = {
    LoadKind.CONSTANT_POWER: (1.0, 0.0, 0.0),
    LoadKind.CONSTANT_CURRENT: (0.0, 1.0, 0.0),
    LoadKind.RESISTIVE: (0.0, 0.0, 1.0),
}
#: How long a small motor starts, where nobody tells [s]. Common practice, no source.
ASSUMED_START_S = 0.2


@dataclass(frozen=True, kw_only=True)
class Load:
    """One device that uses power.

    Parameters
    ----------
    id, label : str
        Identifier and name.
    current_a : float or None
        Running current at the circuit's nominal voltage [A]; None = not known.
    kind : LoadKind
        How current follows voltage.
    resistive_share : float
        Of a mix: part of its nominal current that goes with a resistance [-], 0 to 1.
    current_a_by_state : Mapping[str, float] or None
        Current by operating state [A]; a state that is absent means off.
        None means `current_a` in every state.
    start_current_a : float or None
        Starting or locked-rotor current of a motor, or a short peak of another load [A].
    start_s : float
        How long a start or peak lasts [s]; 0.2 s is common practice for small motors.
    is_motor : bool
        A motor: its start is judged, and "not known" when `start_current_a` is None.
    continuous : bool
        Runs for hours on end; its protective device is kept to 80 %.
    min_working_v : float or None
        Lowest voltage at which it works [V].
    position_m : float or None
        Where along the run it is connected [m]; None = at the far end.
    place : Place or None
        Zone it sits in.
    ignition_protected : bool or None
        Marked as ignition protected; None = not known.
    has_sparks : bool
        Can make a spark in use (motor, switch, relay, heater, plug-in outlet).
    """

    id: str
    label: str
    current_a: float | None
    kind: LoadKind = LoadKind.CONSTANT_POWER
    resistive_share: float = 0.0
    current_a_by_state: Mapping[str, float] | None = None
    start_current_a: float | None = None
    start_s: float = ASSUMED_START_S
    is_motor: bool = False
    continuous: bool = False
    min_working_v: float | None = None
    position_m: float | None = None
    place: Place | None = None
    ignition_protected: bool | None = None
    has_sparks: bool = True

    def __post_init__(self) -> None:
        owner = f"Load {self.label}"
        by_state = {
            f"current in {state}": (current, "A")
            for state, current in (self.current_a_by_state or {}).items()
        }
        check_not_negative(
            owner,
            by_state
            | {
                "current": (self.current_a, "A"),
                "position": (self.position_m, "m"),
                "starting time": (self.start_s, "s"),
            },
        )
        check_positive(
            owner,
            {
                "starting current": (self.start_current_a, "A"),
                "lowest working voltage": (self.min_working_v, "V"),
            },
        )
        if not 0.0 <= self.resistive_share <= 1.0:
            raise BadInput(f"{owner}: part of resistance {self.resistive_share:g}; 0 to 1 allowed.")

    @property
    def shares(self) -> tuple[float, float, float]:
        """Parts of its current with constant power, constant current, resistance [-]."""
        if self.kind is LoadKind.MIX:
            return 1.0 - self.resistive_share, 0.0, self.resistive_share
        return _SHARES[self.kind]

    def current_in(self, state_id: str) -> float | None:
        """Return the current in one operating state [A], None when not known."""
        if self.current_a_by_state is not None:
            return self.current_a_by_state.get(state_id, 0.0)
        return self.current_a
