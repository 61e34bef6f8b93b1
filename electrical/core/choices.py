"""What is on offer, and what is proposed."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

from electrical.core.findings import Finding
from electrical.core.parts import Cable, Protection

#: Cost [currency] and mass [kg] to one figure [currency].
Weigh = Callable[[float, float], float]


class Figure(NamedTuple):
    """By what one choice is better than another: first the rules it gives up, then its cost.

    Parameters
    ----------
    given_up : int
        Findings of rules that are only wished for which end with "attention".
    spent : float
        Cost and mass as one figure [currency].
    """

    given_up: int
    spent: float

    def plus(self, other: "Figure") -> "Figure":
        """Return both together."""
        return Figure(self.given_up + other.given_up, self.spent + other.spent)

    def is_below(self, other: "Figure", *, margin: float = 0.0) -> bool:
        """Return whether it gives up less, or as much at a cost lower by more than a margin."""
        if self.given_up != other.given_up:
            return self.given_up < other.given_up
        return self.spent < other.spent - margin


@dataclass(frozen=True, kw_only=True)
class CableChoice:
    """A cable that may be used.

    Parameters
    ----------
    key : str
        The caller's identifier.
    cable : Cable
        The conductor pair.
    cost_per_m : float
        Cost of the pair [currency/m].
    mass_kg_per_m : float
        Mass of the pair [kg/m].
    """

    key: str
    cable: Cable
    cost_per_m: float
    mass_kg_per_m: float = 0.0


@dataclass(frozen=True, kw_only=True)
class DeviceChoice:
    """A protective device that may be used.

    Parameters
    ----------
    key : str
        The caller's identifier.
    protection : Protection
        The device.
    cost : float
        Cost of one [currency].
    mass_kg : float
        Mass of one [kg].
    on_hand : int
        How many are there already for this circuit and cost nothing more, at least 0.
        Counted by :func:`electrical.core.propose.propose_circuit` alone: which circuit takes
        the last one is for the caller to deal out. The joint search prices every device.
    """

    key: str
    protection: Protection
    cost: float
    mass_kg: float = 0.0
    on_hand: int = 0

    def cost_of(self, needed: int) -> float:
        """Return the cost of as many as a circuit needs [currency].

        Parameters
        ----------
        needed : int
            How many, at least 0.

        Returns
        -------
        float
            Of those that are not there yet [currency].
        """
        return self.cost * max(0, needed - self.on_hand)


@dataclass(frozen=True, kw_only=True)
class Proposal:
    """What to fit in one circuit.

    Parameters
    ----------
    circuit_id : str
        Which circuit.
    cable : CableChoice or None
        None when nothing on offer holds every rule.
    device : DeviceChoice or None
        None when nothing fits, or the circuit needs none.
    device_at_end : bool
        The same device is needed at the far end too.
    cost : float
        Of cable and devices, those on hand left out [currency].
    mass_kg : float
        Of cable and devices [kg].
    decided_by : tuple of Finding
        What the next cheaper cable would break, or what stands in the way.
    missing : tuple of str
        Data without which nothing can be proposed.
    """

    circuit_id: str
    cable: CableChoice | None
    device: DeviceChoice | None
    device_at_end: bool = False
    cost: float = 0.0
    mass_kg: float = 0.0
    decided_by: tuple[Finding, ...] = ()
    missing: tuple[str, ...] = ()

    @property
    def is_complete(self) -> bool:
        """Whether something was found."""
        return self.cable is not None
