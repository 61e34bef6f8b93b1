"""What is on offer, and what is proposed."""

from dataclasses import dataclass

from electrical.core.findings import Finding
from electrical.core.parts import Cable, Protection


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
