"""What the year's run is told about a vessel, and changes to try on it."""

from dataclasses import dataclass, replace

from electrical.core.energy.day import Battery, Charger, ChargerKind, Load
from electrical.core.energy.profiles import UseProfile
from electrical.core.energy.solar import Panels, Regulator
from electrical.core.energy.weather import Climate
from electrical.core.errors import BadInput

__all__ = ["HOURS", "Array", "EnergyDesign", "more_battery", "more_panels"]

HOURS = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class Array:
    """Panels with their regulator.

    Parameters
    ----------
    panels : Panels
        The panels.
    regulator : Regulator
        The regulator.
    """

    panels: Panels
    regulator: Regulator


@dataclass(frozen=True, slots=True, kw_only=True)
class EnergyDesign:
    """Everything the year's run needs.

    Parameters
    ----------
    battery : Battery
        The battery.
    profiles : tuple of UseProfile
        The days it is used in, and how often each comes; at least one.
    loads : tuple of Load
        What draws from it.
    chargers : tuple of Charger
        Alternator, DC-DC and mains chargers; solar is in `arrays`.
    arrays : tuple of Array
        Panels with their regulators.
    climate : Climate or None
        Weather at the home port; None when not known.
    battery_c : tuple of float or None
        Temperature of the battery by month [deg C]; None takes the air's.
    """

    battery: Battery
    profiles: tuple[UseProfile, ...]
    loads: tuple[Load, ...]
    chargers: tuple[Charger, ...] = ()
    arrays: tuple[Array, ...] = ()
    climate: Climate | None = None
    battery_c: tuple[float, ...] | None = None

    def __post_init__(self) -> None:
        if not self.profiles:
            raise BadInput("Use profiles: there is none.")
        if self.battery_c is not None and len(self.battery_c) != 12:
            raise BadInput("Battery temperature: twelve months are needed.")
        for charger in self.chargers:
            if charger.kind is ChargerKind.SOLAR:
                raise BadInput(f"{charger.label}: give solar as panels with a regulator.")


def more_panels(design: EnergyDesign, *, strings: int = 1) -> EnergyDesign:
    """Return the design with more strings on its first array.

    Parameters
    ----------
    design : EnergyDesign
        The design.
    strings : int
        How many more strings.

    Returns
    -------
    EnergyDesign
        The changed design, for a what-if with the same weather.

    Raises
    ------
    BadInput
        If there are no panels to add to.
    """
    if not design.arrays:
        raise BadInput("Panels: there are none to add to.")
    first, *rest = design.arrays
    count = first.panels.count + strings * first.panels.in_series
    grown = replace(first, panels=replace(first.panels, count=count))
    return replace(design, arrays=(grown, *rest))


def more_battery(design: EnergyDesign, *, capacity_ah: float) -> EnergyDesign:
    """Return the design with more battery of the same kind.

    Parameters
    ----------
    design : EnergyDesign
        The design.
    capacity_ah : float
        Capacity to add [Ah].

    Returns
    -------
    EnergyDesign
        The changed design, for a what-if with the same weather.

    Raises
    ------
    BadInput
        If the present capacity is not known.

    Notes
    -----
    A maker's charging limit grows in proportion to the capacity.
    """
    battery = design.battery
    if battery.capacity_ah is None:
        raise BadInput("Battery: its capacity is not known.")
    total_ah = battery.capacity_ah + capacity_ah
    acceptance_a = battery.acceptance_a
    if acceptance_a is not None:
        acceptance_a *= total_ah / battery.capacity_ah
    grown = replace(battery, capacity_ah=total_ah, acceptance_a=acceptance_a)
    return replace(design, battery=grown)
