"""How a battery gives and takes: rate, acceptance, temperature, rest."""

from dataclasses import dataclass
from typing import Any

from electrical.core.energy.chemistry import Sourced, convention
from electrical.core.energy.day import RATED_HOURS, Battery, Missing, require_range
from electrical.core.sources import Chemistry
from electrical.core.status import SourceStatus

__all__ = [
    "BatteryLaw",
    "acceptance",
    "battery_law",
    "charge_efficiency",
    "hours_by_absolute_form",
    "hours_by_rated_form",
]

TAPER_FROM = {
    Chemistry.FLOODED: 0.80,
    Chemistry.AGM: 0.80,
    Chemistry.GEL: 0.80,
    Chemistry.LFP: 0.95,
}
"""State of charge from which charging tapers [-]; common practice, no source."""


def hours_by_rated_form(
    *, capacity_ah: float, current_a: float, exponent: float, rated_hours: float = RATED_HOURS
) -> float:
    """Return how long a battery gives a current, by Peukert's law in rated hours.

    Parameters
    ----------
    capacity_ah : float
        Capacity at the rated time [Ah], above 0.
    current_a : float
        Current [A], above 0.
    exponent : float
        Peukert's exponent [-], 1 to 2.
    rated_hours : float
        Time at which the capacity is rated [h], above 0.

    Returns
    -------
    float
        Time [h].

    Notes
    -----
    ``t = H (C / (I H))**k``.  At the rated current ``C / H`` it gives the rated
    time, whatever the exponent.

    Examples
    --------
    100 Ah at 20 h gives its rated 5 A for 20 h:

    >>> hours_by_rated_form(capacity_ah=100.0, current_a=5.0, exponent=1.2)
    20.0
    """
    _require_discharge(capacity_ah, current_a, exponent)
    require_range("Rated time", rated_hours, 0.1, 1000.0, "h")
    return float(rated_hours * (capacity_ah / (current_a * rated_hours)) ** exponent)


def hours_by_absolute_form(*, capacity_ah: float, current_a: float, exponent: float) -> float:
    """Return what the often quoted form ``t = C / I**k`` gives; wrong for rated capacities.

    Kept only to show the difference.  It holds for a capacity rated at one ampere.
    With a 20-hour capacity it says that a battery does not even give its own rated
    current for its rated time.

    Parameters
    ----------
    capacity_ah : float
        Capacity [Ah], above 0.
    current_a : float
        Current [A], above 0.
    exponent : float
        Peukert's exponent [-], 1 to 2.

    Returns
    -------
    float
        Time [h].

    Notes
    -----
    ``t = C / I**k``, with `C` in amp-hours only where the rated time is one hour at
    one ampere.

    Examples
    --------
    >>> round(hours_by_absolute_form(capacity_ah=100.0, current_a=5.0, exponent=1.2), 1)
    14.5
    """
    _require_discharge(capacity_ah, current_a, exponent)
    return float(capacity_ah / current_a**exponent)


def _require_discharge(capacity_ah: float, current_a: float, exponent: float) -> None:
    require_range("Capacity", capacity_ah, 1e-3, 1e6, "Ah")
    require_range("Current", current_a, 1e-6, 1e6, "A")
    require_range("Peukert exponent", exponent, 1.0, 2.0, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class BatteryLaw:
    """One battery as the hour-by-hour run uses it; every figure known.

    Parameters
    ----------
    capacity_ah : float
        Rated capacity [Ah].
    nominal_v : float
        Nominal voltage [V].
    usable_depth : Sourced
        Usable part of the capacity [-].
    acceptance_a : Sourced
        Largest charging current [A].
    taper_from : float
        State of charge from which charging tapers [-].
    charge_efficiency : Sourced
        Amp-hours out per amp-hour in [-].
    exponent : Sourced
        Peukert's exponent [-]; 1 for lithium.
    self_discharge_per_h : float
        Loss at rest, part of the capacity per hour [1/h].
    min_charge_c : Sourced
        Lowest temperature at which it may be charged [deg C].
    rated_hours : float
        Time over which the capacity is rated [h].
    """

    capacity_ah: float
    nominal_v: float
    usable_depth: Sourced
    acceptance_a: Sourced
    taper_from: float
    charge_efficiency: Sourced
    exponent: Sourced
    self_discharge_per_h: float
    min_charge_c: Sourced
    rated_hours: float

    @property
    def floor(self) -> float:
        """State of charge it is not to fall under [-]."""
        return 1.0 - self.usable_depth.value

    @property
    def rated_a(self) -> float:
        """Current of its rated time [A]."""
        return self.capacity_ah / self.rated_hours

    @property
    def rest_ah_day(self) -> float:
        """Loss at rest of a day [Ah/day]."""
        return self.self_discharge_per_h * 24.0 * self.capacity_ah

    def felt_above_rated_a(self, current_a: Any) -> Any:
        """Return a current above the rated one as the battery feels it.

        Parameters
        ----------
        current_a : float or ndarray
            Current [A], above :attr:`rated_a`.

        Returns
        -------
        float or ndarray
            Current that would empty the rated capacity in the same time [A].

        Notes
        -----
        ``I (I / I_rated)**(k - 1)``: :func:`hours_by_rated_form` as a current.
        """
        return current_a * (current_a / self.rated_a) ** (self.exponent.value - 1.0)

    def rate_loss_a(self, current_a: float) -> float:
        """Return how much more than it gives a battery feels.

        Parameters
        ----------
        current_a : float
            Current [A], 0 or more.

        Returns
        -------
        float
            The part above `current_a` [A]; 0 up to the rated current.
        """
        if current_a <= self.rated_a:
            return 0.0
        return float(self.felt_above_rated_a(current_a)) - current_a


def acceptance(battery: Battery) -> Sourced | None:
    """Return the largest charging current of a battery.

    Parameters
    ----------
    battery : Battery
        As entered.

    Returns
    -------
    Sourced or None
        The maker's, else the convention of the chemistry times the capacity [A]; None
        when neither can be told.
    """
    known = convention(battery.chemistry)
    if battery.acceptance_a is not None:
        return _own(battery.acceptance_a)
    if known is None or battery.capacity_ah is None:
        return None
    rate = known.acceptance_c20
    return Sourced(rate.value * battery.capacity_ah, rate.status, rate.source)


def charge_efficiency(battery: Battery) -> Sourced | None:
    """Return the amp-hours that come out of a battery for each put in.

    Parameters
    ----------
    battery : Battery
        As entered.

    Returns
    -------
    Sourced or None
        The maker's, else the convention of the chemistry [-]; None when neither can be
        told.
    """
    if battery.coulombic_efficiency is not None:
        return _own(battery.coulombic_efficiency)
    known = convention(battery.chemistry)
    return None if known is None else known.coulombic_efficiency


def battery_law(battery: Battery) -> BatteryLaw | tuple[Missing, ...]:
    """Fill in what the maker did not say from the conventions of the chemistry.

    Parameters
    ----------
    battery : Battery
        As entered.

    Returns
    -------
    BatteryLaw or tuple of Missing
        The law, each figure with its source; or what must be known first.

    Notes
    -----
    The rate effect (Peukert) is applied to lead-acid only: lithium's is within the
    scatter of its capacity.
    """
    known = convention(battery.chemistry)
    missing = []
    if battery.capacity_ah is None:
        missing.append(Missing("Battery", "capacity"))
    if known is None:
        missing.append(Missing("Battery", "chemistry"))
    accepted, efficiency = acceptance(battery), charge_efficiency(battery)
    if (
        battery.capacity_ah is None
        or known is None
        or battery.chemistry is None
        or accepted is None
        or efficiency is None
    ):
        return tuple(missing)
    is_lithium = battery.chemistry.is_lithium
    flat = Sourced(1.0, SourceStatus.PRACTICE, "no rate effect counted for lithium")
    return BatteryLaw(
        capacity_ah=battery.capacity_ah,
        nominal_v=battery.nominal_v,
        usable_depth=_entered(battery.usable_depth, known.usable_depth),
        acceptance_a=accepted,
        taper_from=TAPER_FROM[battery.chemistry],
        charge_efficiency=efficiency,
        exponent=flat if is_lithium else known.peukert_exponent,
        self_discharge_per_h=known.self_discharge_pct_month.value / 100.0 / (30.0 * 24.0),
        min_charge_c=_entered(battery.min_charge_c, known.min_charge_c),
        rated_hours=battery.rated_hours,
    )


def _entered(value: float | None, otherwise: Sourced) -> Sourced:
    return otherwise if value is None else _own(value)


def _own(value: float) -> Sourced:
    return Sourced(value, SourceStatus.SECOND_HAND, "as entered for this battery")
