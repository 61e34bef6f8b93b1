"""What goes into the daily energy sum: day plan, loads, chargers, battery.

Plain values with their limits checked when made.  A figure that is not known is
None and stays None through every sum; nothing is filled in by guesswork.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from electrical.core.errors import BadInput
from electrical.core.sources import Chemistry

__all__ = [
    "RATED_HOURS",
    "Battery",
    "Charger",
    "ChargerKind",
    "DayPlan",
    "Load",
    "Missing",
    "require_range",
]

RATED_HOURS = 20.0
"""Time over which the capacity of a house battery is rated unless it says otherwise [h]."""

HOURS_PER_DAY = 24.0
_HOURS_TOLERANCE = 1e-6


def require_range(name: str, value: float, low: float, high: float, unit: str) -> None:
    """Refuse a value that is not finite or outside its limits.

    Parameters
    ----------
    name : str
        What the value is, for the message.
    value : float
        The value [`unit`].
    low, high : float
        Limits, both allowed [`unit`].
    unit : str
        Unit for the message; empty for a plain ratio.

    Raises
    ------
    BadInput
        Naming the quantity, the value, its unit and the limit.
    """
    suffix = f" {unit}" if unit else ""
    if not math.isfinite(value):
        raise BadInput(f"{name}: {value} is not a number")
    if value < low:
        raise BadInput(f"{name}: {value:g}{suffix} is below {low:g}{suffix}")
    if value > high:
        raise BadInput(f"{name}: {value:g}{suffix} is above {high:g}{suffix}")


@dataclass(frozen=True, slots=True, kw_only=True)
class DayPlan:
    """Hours spent in each operating state during one day.

    Parameters
    ----------
    hours_by_state : Mapping of str to float
        Hours [h] in each operating state, each 0 to 24; together 24.

    Raises
    ------
    BadInput
        If an hour count is negative or not finite, or the sum is not 24.
    """

    hours_by_state: Mapping[str, float]

    def __post_init__(self) -> None:
        for state, hours_h in self.hours_by_state.items():
            require_range(f"Hours in {state}", hours_h, 0.0, HOURS_PER_DAY, "h")
        total_h = math.fsum(self.hours_by_state.values())
        if abs(total_h - HOURS_PER_DAY) > _HOURS_TOLERANCE:
            raise BadInput(f"Day plan: hours add up to {total_h:g} h, must be 24 h")

    @classmethod
    def from_hours(cls, states: Sequence[str]) -> "DayPlan":
        """Build the plan from the state in each of the day's 24 hours.

        Parameters
        ----------
        states : Sequence of str
            State from 00:00, 01:00, ... 23:00; exactly 24 names.

        Returns
        -------
        DayPlan
            Hours counted by state.

        Raises
        ------
        BadInput
            If there are not 24 names.
        """
        if len(states) != int(HOURS_PER_DAY):
            raise BadInput(f"Day plan: {len(states)} hours given, must be 24")
        return cls(hours_by_state={s: float(states.count(s)) for s in dict.fromkeys(states)})


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """One load and the part of each operating state it is on.

    Parameters
    ----------
    load_id : str
        Identifier of the caller.
    label : str
        What the user calls it.
    current_a : float or None
        Current while on, at its own voltage [A], 0 or more; None when not known.
    duty_by_state : Mapping of str to (float or None)
        Part of the time on in each state [-], 0 to 1.  A state not listed counts
        as off; a state listed with None is "not known".
    nominal_v : float or None
        Voltage of the load [V]; None means the battery's own.
    conversion_efficiency : float or None
        Efficiency of the converter between battery and load [-], above 0 to 1; 1 where
        there is none, None when not known.
    quantity : float
        How many of it [-], 0 or more.
    """

    load_id: str
    label: str
    current_a: float | None
    duty_by_state: Mapping[str, float | None]
    nominal_v: float | None = None
    conversion_efficiency: float | None = 1.0
    quantity: float = 1.0

    def __post_init__(self) -> None:
        if self.current_a is not None:
            require_range(f"{self.label}: current", self.current_a, 0.0, 1e5, "A")
        if self.nominal_v is not None:
            require_range(f"{self.label}: voltage", self.nominal_v, 1.0, 1000.0, "V")
        if self.conversion_efficiency is not None:
            require_range(f"{self.label}: efficiency", self.conversion_efficiency, 0.01, 1.0, "")
        require_range(f"{self.label}: quantity", self.quantity, 0.0, 1e6, "")
        for state, duty in self.duty_by_state.items():
            if duty is not None:
                require_range(f"{self.label}: duty in {state}", duty, 0.0, 1.0, "")


class ChargerKind(StrEnum):
    """What brings charge into the battery."""

    ALTERNATOR = "alternator"
    DC_DC = "dc_dc"
    MAINS = "mains"
    SOLAR = "solar"


@dataclass(frozen=True, slots=True, kw_only=True)
class Charger:
    """One way of charging, in its simplest daily form.

    An alternator, DC-DC or mains charger gives `current_a` during the states in
    `duty_by_state`.  Solar gives `peak_w` times the day's irradiation (peak sun
    hours) times `derate`, at the battery's nominal voltage, whatever the state.

    Parameters
    ----------
    charger_id : str
        Identifier of the caller.
    label : str
        What the user calls it.
    kind : ChargerKind
        Which kind.
    current_a : float or None
        Charging current at the battery [A], 0 or more; None when not known.  Not used
        for solar.
    current_missing : str
        What to ask for when `current_a` is None.
    duty_by_state : Mapping of str to (float or None)
        Part of the time charging in each state [-], 0 to 1; not used for solar.
    peak_w : float or None
        Solar: rated power of the panels [W].
    irradiation_kwh_m2_day : float or None
        Solar: mean daily irradiation on the panel [kWh/m2/day], 0 to 15; None when not
        known, or when none of it can be taken.
    irradiation_missing : str
        What to ask for when `irradiation_kwh_m2_day` is None.
    derate : float
        Solar: part of rated power that reaches the battery [-], above 0 to 1.
        The default 0.75 is common practice, no source.
    """

    charger_id: str
    label: str
    kind: ChargerKind
    current_a: float | None = None
    current_missing: str = "charging current"
    duty_by_state: Mapping[str, float | None] | None = None
    peak_w: float | None = None
    irradiation_kwh_m2_day: float | None = None
    irradiation_missing: str = "daily irradiation"
    derate: float = 0.75

    def __post_init__(self) -> None:
        if self.current_a is not None:
            require_range(f"{self.label}: current", self.current_a, 0.0, 1e5, "A")
        if self.peak_w is not None:
            require_range(f"{self.label}: panel power", self.peak_w, 0.0, 1e6, "W")
        if self.irradiation_kwh_m2_day is not None:
            irradiation = self.irradiation_kwh_m2_day
            require_range(f"{self.label}: irradiation", irradiation, 0.0, 15.0, "kWh/m2/day")
        require_range(f"{self.label}: derate", self.derate, 0.01, 1.0, "")
        for state, duty in (self.duty_by_state or {}).items():
            if duty is not None:
                require_range(f"{self.label}: duty in {state}", duty, 0.0, 1.0, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Battery:
    """The battery that carries the loads.

    Parameters
    ----------
    capacity_ah : float or None
        Rated capacity of the whole bank [Ah], above 0; None: not known.
    chemistry : Chemistry or None
        Kind of battery; None: not known.
    nominal_v : float
        Nominal voltage of the bank [V].
    usable_depth : float or None
        The maker's usable part of the capacity [-], above 0 to 1; None takes the
        convention of the chemistry, with its status.
    coulombic_efficiency : float or None
        The maker's charge efficiency [-], above 0 to 1; None takes the convention.
    acceptance_a : float or None
        The maker's largest charging current [A]; None takes the convention.
    min_charge_c : float or None
        The maker's lowest temperature for charging [deg C], -60 to 60; None takes the
        convention.
    rated_hours : float
        Time over which the capacity is rated [h], 0.1 to 1000.
    """

    capacity_ah: float | None
    chemistry: Chemistry | None
    nominal_v: float = 12.0
    usable_depth: float | None = None
    coulombic_efficiency: float | None = None
    acceptance_a: float | None = None
    min_charge_c: float | None = None
    rated_hours: float = RATED_HOURS

    def __post_init__(self) -> None:
        if self.capacity_ah is not None:
            require_range("Battery: capacity", self.capacity_ah, 0.1, 1e6, "Ah")
        require_range("Battery: voltage", self.nominal_v, 1.0, 1000.0, "V")
        if self.usable_depth is not None:
            require_range("Battery: usable depth", self.usable_depth, 0.01, 1.0, "")
        if self.coulombic_efficiency is not None:
            name = "Battery: charge efficiency"
            require_range(name, self.coulombic_efficiency, 0.01, 1.0, "")
        if self.acceptance_a is not None:
            require_range("Battery: charge acceptance", self.acceptance_a, 0.0, 1e5, "A")
        if self.min_charge_c is not None:
            name = "Battery: lowest charging temperature"
            require_range(name, self.min_charge_c, -60.0, 60.0, "°C")
        require_range("Battery: rated time", self.rated_hours, 0.1, 1000.0, "h")


@dataclass(frozen=True, slots=True)
class Missing:
    """One figure that is needed and not known.

    Parameters
    ----------
    subject : str
        Label of the load, charger or battery.
    field : str
        What is missing, in words.
    """

    subject: str
    field: str
