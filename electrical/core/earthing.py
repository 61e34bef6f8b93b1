"""Input: how the d.c. system meets earth, and what is bonded to it."""

from dataclasses import dataclass
from enum import StrEnum

from electrical.core.errors import BadInput
from electrical.core.sizes import ConductorSize


class EarthingKind(StrEnum):
    """Which pole, if any, is joined to the engine, hull or body."""

    NEGATIVE = "negative earthed"
    INSULATED = "fully insulated"
    POSITIVE = "positive earthed"
    RETURN = "hull or body as return"


@dataclass(frozen=True, kw_only=True)
class BondingConductor:
    """A conductor that joins a metal part to earth and carries no current in use.

    Parameters
    ----------
    id, label : str
        Identifier and what it bonds, e.g. ``"Fuel tank"``.
    size : ConductorSize or None
        None = not known.
    circuit_id : str or None
        The circuit that supplies the part; None for a part without supply.
    colour : str
        Colour of its insulation; empty = not known or bare.
    """

    id: str
    label: str
    size: ConductorSize | None = None
    circuit_id: str | None = None
    colour: str = ""


@dataclass(frozen=True, kw_only=True)
class Earthing:
    """How one vessel's d.c. system meets earth.

    Parameters
    ----------
    kind : EarthingKind or None
        None = not known.
    joints : int or None
        Places at which the negative is joined to engine, hull or body, 0 or more;
        None = not known.
    bonding : tuple of BondingConductor
        Bonding conductors.
    """

    kind: EarthingKind | None = None
    joints: int | None = None
    bonding: tuple[BondingConductor, ...] = ()

    def __post_init__(self) -> None:
        if self.joints is not None and self.joints < 0:
            raise BadInput(f"Joints of the negative with earth: {self.joints}; 0 or more.")
