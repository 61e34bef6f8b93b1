"""Input: where power comes from and is distributed (sources, boards, converters)."""

from dataclasses import dataclass
from enum import StrEnum

from electrical.core.errors import BadInput, check_positive
from electrical.core.parts import Place, Switch


class SourceKind(StrEnum):
    """What feeds the system."""

    BATTERY = "battery"
    ALTERNATOR = "alternator"
    CHARGER = "charger"
    SOLAR_REGULATOR = "solar regulator"


class Chemistry(StrEnum):
    """Battery chemistry."""

    FLOODED = "flooded lead-acid"
    AGM = "AGM lead-acid"
    GEL = "gel lead-acid"
    LFP = "lithium iron phosphate"
    OTHER = "other"

    @property
    def is_lithium(self) -> bool:
        """Whether lithium rules apply."""
        return self is Chemistry.LFP


@dataclass(frozen=True, kw_only=True)
class Source:
    """A battery bank or a charging source; also the point where circuits start.

    Parameters
    ----------
    id, label : str
        Identifier and name.
    kind : SourceKind
        Battery or charging source.
    nominal_v : float
        Nominal system voltage [V].
    emf_v : float or None
        Open-circuit voltage [V]; None = `nominal_v`.
    internal_r_ohm : float or None
        Internal resistance of the whole bank [Ω]; None = not known.
    short_circuit_a : float or None
        Maker's short-circuit current of the whole bank [A].
    cca_a : float or None
        Cold cranking current of the whole bank [A].
    capacity_ah : float or None
        Capacity [Ah].
    chemistry : Chemistry or None
        Battery chemistry.
    strings : int
        Strings in parallel.
    strings_fused : bool or None
        Each parallel string has its own protective device; None = not known.
    max_output_a : float or None
        Largest current a charging source gives [A].
    limits_itself : bool or None
        A charging source gives no more than `max_output_a` whatever it feeds, as its maker
        says; None = not known.
    management_limit_a : float or None
        Discharge limit of a battery's management [A]; not a fault rating.
    sealed : bool or None
        Valve-regulated or sealed battery; None = not known.
    fastened : bool or None
        Held down against movement; None = not known.
    place : Place or None
        Zone it sits in.
    ignition_protected : bool or None
        For charging sources; None = not known.
    isolator : Switch or None
        Switch that isolates it, as near as practicable to it.
    """

    id: str
    label: str
    kind: SourceKind
    nominal_v: float
    emf_v: float | None = None
    internal_r_ohm: float | None = None
    short_circuit_a: float | None = None
    cca_a: float | None = None
    capacity_ah: float | None = None
    chemistry: Chemistry | None = None
    strings: int = 1
    strings_fused: bool | None = None
    max_output_a: float | None = None
    limits_itself: bool | None = None
    management_limit_a: float | None = None
    sealed: bool | None = None
    fastened: bool | None = None
    place: Place | None = None
    ignition_protected: bool | None = None
    isolator: Switch | None = None

    def __post_init__(self) -> None:
        check_positive(
            f"Source {self.label}",
            {
                "nominal voltage": (self.nominal_v, "V"),
                "open-circuit voltage": (self.emf_v, "V"),
                "internal resistance": (self.internal_r_ohm, "Ω"),
                "short-circuit current": (self.short_circuit_a, "A"),
                "cold cranking current": (self.cca_a, "A"),
                "capacity": (self.capacity_ah, "Ah"),
                "largest output": (self.max_output_a, "A"),
                "management limit": (self.management_limit_a, "A"),
            },
        )
        if self.strings < 1:
            raise BadInput(f"Source {self.label}: {self.strings} strings; at least 1.")


@dataclass(frozen=True, kw_only=True)
class Board:
    """A distribution board or busbar.

    Parameters
    ----------
    id, label : str
        Identifier and name.
    nominal_v : float
        Nominal voltage [V].
    busbar_a : float or None
        Rating of its busbar [A]; None = not known.
    way_max_a : float or None
        Largest current of one way [A]; None = not known.
    place : Place or None
        Zone it sits in.
    ignition_protected : bool or None
        Marked as ignition protected; None = not known.
    """

    id: str
    label: str
    nominal_v: float
    busbar_a: float | None = None
    way_max_a: float | None = None
    place: Place | None = None
    ignition_protected: bool | None = None

    def __post_init__(self) -> None:
        check_positive(
            f"Board {self.label}",
            {
                "nominal voltage": (self.nominal_v, "V"),
                "busbar rating": (self.busbar_a, "A"),
                "largest current of one way": (self.way_max_a, "A"),
            },
        )


@dataclass(frozen=True, kw_only=True)
class Converter:
    """A d.c. to d.c. converter; its id is the point its output circuits start from.

    Its input is the load of one circuit: give that circuit `to_id` = the converter's id.

    Parameters
    ----------
    id, label : str
        Identifier and name.
    output_v : float
        Output voltage [V].
    efficiency : float or None
        Output power over input power [-], above 0 to 1; None = not known.
    max_output_a : float or None
        Largest output current [A].
    input_cutoff_v : float or None
        Input voltage below which it switches off [V].
    lowest_input_v : float or None
        Lowest input voltage at which it must work [V]; None = `input_cutoff_v`.
    fixed_input_a : float or None
        Input current when it runs at a fixed output, e.g. a battery charger [A].
    isolated : bool or None
        Its output shares no conductor with its input; None = not known.
    place : Place or None
        Zone it sits in.
    ignition_protected : bool or None
        Marked as ignition protected; None = not known.
    """

    id: str
    label: str
    output_v: float
    efficiency: float | None = None
    max_output_a: float | None = None
    input_cutoff_v: float | None = None
    lowest_input_v: float | None = None
    fixed_input_a: float | None = None
    isolated: bool | None = None
    place: Place | None = None
    ignition_protected: bool | None = None

    def __post_init__(self) -> None:
        check_positive(
            f"Converter {self.label}",
            {
                "output voltage": (self.output_v, "V"),
                "largest output": (self.max_output_a, "A"),
                "input cut-off": (self.input_cutoff_v, "V"),
                "lowest input": (self.lowest_input_v, "V"),
            },
        )
        if self.efficiency is not None and not 0.0 < self.efficiency <= 1.0:
            raise BadInput(
                f"Converter {self.label}: efficiency {self.efficiency:g} must be above 0, 1 at most."
            )
